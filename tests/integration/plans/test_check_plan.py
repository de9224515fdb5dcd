"""The check as a whole: what it asks the database, what is to be started when, candidates and limits."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from accessions.people.models import Role
from accessions.sites.models import SiteTenure
from governance.engine.tables import Layer, Verdict
from governance.papers import actions
from governance.papers.models import Paper
from governance.plans.models import FieldPlan
from governance.plans.queries.candidates import candidates
from governance.plans.queries.cap_use import Individuals, cap_uses
from governance.plans.queries.check import PlanCheck, check_plan
from governance.plans.queries.need_lines import need_lines
from tests.factories import plans as f
from tests.factories import register as r
from tests.factories.paper_objects import paper_object

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 26)


def permit(reference: str, *layers: Layer, **version: Any) -> Paper:
    days = {"in_force_from": "2027-06-01", "in_force_to": "2027-06-30"}
    fields = {
        "jurisdiction": "SE", "issuer": "County (invented)", "versions": [{**days, **version}],
        "layers": [layer.code for layer in layers or (Layer.COLLECTING,)],
    }  # fmt: skip
    return actions.register(data=paper_object(reference, **fields), by=r.person(Role.REGISTRAR), why="a test")


def checked(plan: FieldPlan) -> PlanCheck:
    return check_plan(plan, today=TODAY)


class TestQueries:
    def plan_of(self, stops: int) -> FieldPlan:
        """Stops at sites with boundaries, traps, groups and a limit that specimens and another plan share."""
        plan, other = f.field_plan(), f.field_plan()
        f.way_home(plan, exported_on="2027-06-20")
        paper = permit(f"COL-{stops}", caps=[{"limit": 1000}])
        accession = r.accession(f"LMN-{stops}")
        r.link(paper, accession=accession)
        r.specimen(accession=accession)
        for number in range(stops):
            site = r.site(f"SE-{stops}-{number}", name=f"Mire {number} of {stops}")
            r.boundary(site)
            for one in (plan, other):
                stop = f.stop(one, site=site, longitude_deg=None, latitude_deg=None, radius_m=None)
                f.trap(stop)
                f.target(stop, expected="5")
        for one in (plan, other):
            f.attach(one, paper, r.person())
        return plan

    def queries(self, plan: FieldPlan) -> int:
        with CaptureQueriesContext(
            connection,
        ) as captured:
            checked(plan)
        return len(captured)

    def test_queries_do_not_grow(self) -> None:
        """Six or sixty stops, with a limit and another plan under it, or without: the same number of queries."""
        checked(self.plan_of(1))
        few, many = (self.queries(self.plan_of(stops)) for stops in (6, 60))
        assert few == many
        assert many <= 70, "about sixteen for papers, twelve for each of both plans, the rest for specimens and rules"


class TestNeeds:
    def test_start_by(self) -> None:
        """1 June less 60 days is 2 April: 31 days of May lead to 1 May, 29 more to 2 April."""
        plan, sheet = f.field_plan(), r.sheet("SE", authority="County (invented)")
        r.rule(sheet, Layer.COLLECTING, lead_days=60)
        f.stop(plan, first_on=date(2027, 6, 8), last_on=date(2027, 6, 9))
        f.stop(plan, first_on=date(2027, 6, 1), last_on=date(2027, 6, 2))
        (need,) = [need for need in checked(plan).needs if need.layer == Layer.COLLECTING]
        assert (need.needed_on, need.start_by, need.is_late) == (date(2027, 6, 1), date(2027, 4, 2), False)
        assert need.lead.authority == "County (invented)"
        assert len(need.cells) == 2
        late = check_plan(plan, today=date(2027, 4, 3))
        assert [one.layer for one in late.late] == [Layer.COLLECTING]
        assert not check_plan(plan, today=date(2027, 4, 2)).late, "on the day itself there is still time"

    def test_a_rule_that_changes_before_the_later_stop(self) -> None:
        """From July on it takes 120 days. 10 July less 10 + 30 + 31 + 30 = 101 days is 31 March, less 19 is 12 March.

        The stop of June needs 30 days, from 2 May on; the earlier start counts.
        """
        plan, sheet = f.field_plan(), r.sheet("SE")
        r.rule(sheet, Layer.COLLECTING, lead_days=30, to_on=date(2027, 6, 30))
        r.rule(sheet, Layer.COLLECTING, lead_days=120, from_on=date(2027, 7, 1))
        for month in (6, 7):
            f.stop(plan, first_on=date(2027, month, 10), last_on=date(2027, month, 10))
        (need,) = [need for need in checked(plan).needs if need.layer == Layer.COLLECTING]
        assert (need.start_by, need.lead.days) == (date(2027, 7, 10) - timedelta(120), 120)
        assert need.start_by == date(2027, 3, 12)

    def test_what_is_not_known_has_no_day(self) -> None:
        """No sheet; a sheet without lead time; a lead time without a day."""
        plan = f.field_plan()
        r.rule(r.sheet("SE"), Layer.COLLECTING)
        r.rule(r.sheet("NO"), Layer.COLLECTING, lead_days=10)
        f.stop(plan, country="FI", longitude_deg=26.0)
        f.stop(plan)
        f.stop(plan, country="NO", longitude_deg=10.0, first_on=None, last_on=None)
        needs = {need.lead.country: need for need in checked(plan).needs if Layer.COLLECTING in need.layers}
        assert {country: need.start_by for country, need in needs.items()} == {"FI": None, "SE": None, "NO": None}
        assert [needs[c].lead.has_sheet for c in ("FI", "SE", "NO")] == [False, True, True]
        assert [needs[c].lead.days for c in ("FI", "SE", "NO")] == [None, None, 10]

    def test_one_need_for_all_verdicts_of_a_layer(self) -> None:
        """The permit is for June: 29 June to 2 July straddles, 5 July is outside; the earlier day counts, 30 days
        before 29 June is 30 May (29 of June and one of May)."""
        plan, sheet = f.field_plan(), r.sheet("SE", authority="County (invented)")
        r.rule(sheet, Layer.COLLECTING, lead_days=30)
        f.attach(plan, permit("COL-1"), r.person())
        later = f.stop(plan, first_on=date(2027, 7, 5), last_on=date(2027, 7, 5))
        over = f.stop(plan, first_on=date(2027, 6, 29), last_on=date(2027, 7, 2))
        f.stop(plan, first_on=date(2027, 6, 10), last_on=date(2027, 6, 10))
        check = checked(plan)
        (need,) = [need for need in check.needs if need.layer == Layer.COLLECTING]
        assert (need.verdict, need.start_by) == (Verdict.OUTSIDE, date(2027, 5, 30))
        told = {verdict: [one.stop.pk for one in stops] for verdict, stops in need.by_verdict.items()}
        assert told == {Verdict.OUTSIDE: [later.pk], Verdict.STRADDLES: [over.pk]}
        assert list(told) == [Verdict.OUTSIDE, Verdict.STRADDLES], "the worst first"
        assert {part.stops[0].stop.pk: part.start_by for part in need.parts} == {
            later.pk: date(2027, 6, 5), over.pk: date(2027, 5, 30),
        }  # fmt: skip
        (line,) = [line for line in need_lines(check) if line.need is need]
        assert line.by_verdict == "Outside terms: stop 1; straddles: stop 2."

    def test_a_country_without_a_sheet_is_one_need(self) -> None:
        plan = f.field_plan()
        r.rule(r.sheet("SE"), Layer.COLLECTING)
        f.stop(plan)
        abroad = f.stop(plan, country="FI", longitude_deg=26.0)
        check = checked(plan)
        (need,) = [need for need in check.needs if abroad.pk in {one.stop.pk for one in need.stops}]
        open_there = {layer for (stop, layer), cell in check.cells.items() if stop == abroad.pk and cell.needs_look}
        assert (need.without_sheet, set(need.layers), need.start_by) == ("FI", open_there, None)
        assert len(open_there) > 1
        (line,) = [line for line in need_lines(check) if line.need is need]
        assert line.heading == "Finland, stop 2"
        assert line.sentences[0].startswith("Finland has no country sheet: whether land, collecting")
        assert line.sentences[0].endswith(
            "are required cannot be told. Ask there what is required, then enter the sheet."
        )

    def test_the_owner_of_the_land_is_asked_for_it(self) -> None:
        """Who held the site on the first day, 3 June 2027; never the authority of the country sheet."""
        plan, sheet = f.field_plan(), r.sheet("SE", authority="County (invented)", contact="county@example.org")
        r.rule(sheet, Layer.LAND, lead_days=30)
        fen = r.site("SE-FEN")
        for name, first, last in (
            ("Old Fen Estate", None, date(2027, 6, 2)),
            ("New Fen Trust", date(2027, 6, 3), None),
        ):
            SiteTenure.objects.create(site=fen, agent=r.agent(name), held_from=first, held_to=last)
        f.stop(plan, site=fen)
        f.stop(plan)
        check = checked(plan)
        lands = [line for line in need_lines(check) if line.need.layer == Layer.LAND]
        told = {line.numbers: line.sentences[1] for line in lands}
        assert told == {(1,): "Ask New Fen Trust.", (2,): "Ask the owner of the land; nobody is recorded."}
        assert {line.need.lead.contact for line in lands} == {""}
        assert {line.need.lead.days for line in lands} == {30}, "how long it takes the sheet still says"

    def test_who_is_asked_on_the_way_home(self) -> None:
        """Export by the country left, import by that of arrival; each with its own lead time."""
        plan = f.field_plan()
        home = r.sheet("SE", authority="Swedish office (invented)")
        away = r.sheet("GE", authority="Georgian office (invented)")
        for layer in (Layer.EXPORT, Layer.IMPORT):
            r.rule(away, layer, lead_days=20)
        r.rule(home, Layer.IMPORT, lead_days=7)
        f.way_home(plan, from_country="GE", to_country="SE", exported_on="2027-06-20", imported_on="2027-06-21")
        f.stop(plan, country="GE", longitude_deg=43.9, latitude_deg=42.1)
        needs = {need.layer: need for need in checked(plan).needs}
        assert needs[Layer.EXPORT].lead.authority == "Georgian office (invented)"
        assert needs[Layer.EXPORT].start_by == date(2027, 5, 31)
        assert needs[Layer.IMPORT].lead.authority == "Swedish office (invented)"
        assert needs[Layer.IMPORT].start_by == date(2027, 6, 14)

    def test_headline(self) -> None:
        plan = f.field_plan()
        assert not checked(plan).ready, "nothing is planned"
        sheet = r.sheet("SE")
        for layer in Layer:
            r.rule(sheet, layer, required=layer == Layer.COLLECTING)
        f.stop(plan)
        check = checked(plan)
        assert (check.open_cells, check.all_cells, check.ready) == (1, 9, False)
        assert {v: n for v, n in check.by_verdict.items() if n} == {Verdict.NOT_REQUIRED: 8, Verdict.MISSING: 1}
        f.attach(plan, permit("COL-1"), r.person())
        assert checked(plan).ready


class TestMargin:
    """Days from the last day, 5 June, to the next day that is not valid."""

    def margin(self, plan: FieldPlan) -> int | None:
        check = checked(plan)
        return check.cells[check.loaded.stops[0].stop.pk, Layer.COLLECTING].margin_days

    @pytest.mark.parametrize(
        ("version", "margin"),
        [
            ({}, 25),
            ({"in_force_to": "2027-06-05"}, 0),
            ({"in_force_to": None}, None),
            ({"in_force_to": None, "closed_seasons": [["06-10", "08-31"]]}, 4),
        ],
    )
    def test_one_paper(self, version: dict[str, Any], margin: int | None) -> None:
        plan = f.field_plan()
        f.stop(plan)
        f.attach(plan, permit("COL-1", **version), r.person())
        assert self.margin(plan) == margin

    def test_several_papers(self) -> None:
        """Until the 4th by one and from the 5th to the 12th by the other."""
        plan = f.field_plan()
        f.stop(plan)
        f.attach(plan, permit("COL-1", in_force_to="2027-06-04"), r.person())
        f.attach(plan, permit("COL-2", in_force_from="2027-06-05", in_force_to="2027-06-12"), r.person())
        assert self.margin(plan) == 7

    def test_revoked_next_week(self) -> None:
        plan, paper = f.field_plan(), permit("COL-1")
        f.stop(plan)
        f.attach(plan, paper, r.person())
        paper.statuses.create(state="revoked", from_on=date(2027, 6, 11))
        assert self.margin(plan) == 5


class TestCandidates:
    @pytest.fixture
    def plan(self) -> FieldPlan:
        r.rule(r.sheet("SE"), Layer.COLLECTING)
        plan = f.field_plan()
        f.stop(plan, name="June")
        f.stop(plan, name="August", first_on=date(2027, 8, 1), last_on=date(2027, 8, 2))
        return plan

    def found(self, plan: FieldPlan) -> dict[tuple[str, Layer], list[str]]:
        check = checked(plan)
        names = {one.stop.pk: one.stop.name for one in check.loaded.stops}
        return {
            (names[stop], layer): [used.reference for used in papers]
            for (stop, layer), papers in candidates(check).items()
        }

    def test_only_what_covers(self, plan: FieldPlan) -> None:
        permit("COL-1")
        permit("COL-2", methods={"include": ["light trap"]})
        permit("LND-1", Layer.LAND, in_force_to=None)
        ended = permit("COL-3", in_force_from="2026-01-01", in_force_to="2026-12-31")
        asked_for = permit("COL-4", in_force_to="2027-12-31")
        asked_for.statuses.create(state="applied", from_on=TODAY)
        assert ended.pk and self.found(plan) == {
            ("June", Layer.COLLECTING): ["COL-1"], ("June", Layer.LAND): ["LND-1"], ("August", Layer.LAND): ["LND-1"],
        }  # fmt: skip

    def test_together(self, plan: FieldPlan) -> None:
        """Until the 4th by one and from the 5th by the other; the one that is linked is not named again."""
        f.attach(plan, permit("COL-1", in_force_to="2027-06-04"), r.person())
        permit("COL-2", in_force_from="2027-06-05")
        assert self.found(plan) == {("June", Layer.COLLECTING): ["COL-2"]}

    def test_attached_to_another_stop(self, plan: FieldPlan) -> None:
        f.attach(plan, permit("COL-1"), r.person(), stop=plan.stops.get(name="August"))
        assert self.found(plan) == {("June", Layer.COLLECTING): ["COL-1"]}
        f.attach(plan, Paper.objects.get(), r.person(), stop=plan.stops.get(name="June"))
        assert self.found(plan) == {}

    def test_limits_are_shared(self, plan: FieldPlan) -> None:
        """6 in June and 6 in August under one paper of 10: the second is too many, and another plan may have them."""
        for stop in plan.stops.all():
            f.target(stop, expected="6")
        paper = permit("COL-1", in_force_to="2027-12-31", caps=[{"limit": 10}])
        assert self.found(plan) == {("June", Layer.COLLECTING): ["COL-1"]}
        other = f.field_plan()
        f.target(f.stop(other, first_on=date(2027, 6, 1), last_on=date(2027, 6, 1)), expected="5")
        f.attach(other, paper, r.person())
        assert self.found(plan) == {}

    def test_nothing_is_open(self, plan: FieldPlan) -> None:
        plan.stops.all().delete()
        assert candidates(checked(plan)) == {}


class TestCapUse:
    def test_specimens_other_plans_and_this_one(self) -> None:
        """Of 20: 7 on file, 2 to 4 by another plan, 5 by this one are 14 to 16."""
        plan, other, accession = f.field_plan(), f.field_plan(), r.accession("LMN-1")
        paper = permit("COL-1", caps=[{"limit": 20}], places={"include": [{"country": "SE"}]})
        r.link(paper, accession=accession)
        place = {"decimal_latitude": "61.95", "decimal_longitude": "15.3", "country_code": "SE"}
        r.specimen(accession=accession, event=r.event(day="2027-06-01", **place), count_low=7, count_high=7)
        for one, expected in ((plan, "5"), (other, "2-4")):
            f.target(f.stop(one), expected=expected)
            f.attach(one, paper, r.person())
        (use,) = cap_uses(checked(plan))
        assert (use.reference, use.limit, use.per, use.one, use.taxon) == ("COL-1", 20, "paper", "", "")
        assert (use.taken, use.others, use.expected) == (Individuals(7, 7), Individuals(2, 4), Individuals(5, 5))
        assert (use.total, use.state, use.left) == (Individuals(14, 16), "safe", 4)

    @pytest.mark.parametrize(("expected", "state"), [("20", "safe"), ("19-21", "possible"), ("21", "breached")])
    def test_states(self, expected: str, state: str) -> None:
        """The contract, section 6: safe if U <= cap, breached if L > cap, else possible."""
        plan = f.field_plan()
        f.target(f.stop(plan), expected=expected)
        f.attach(plan, permit("COL-1", caps=[{"limit": 20}]), r.person())
        (use,) = cap_uses(checked(plan))
        assert use.state == state

    def test_the_fullest_event_and_species(self) -> None:
        plan = f.field_plan()
        for name, number in (("Mire", "3"), ("Brook", "8")):
            stop = f.stop(plan, name=name)
            f.target(stop, "Aeshna juncea", expected=number, kingdom="Animalia")
            f.target(stop, "Aeshna grandis", expected="1", kingdom="Animalia")
        caps = [{"limit": 10, "per": "event", "each": "species"}, {"limit": 5, "taxon": "Libellula depressa"}]
        f.attach(plan, permit("COL-1", caps=caps), r.person())
        (use,) = cap_uses(checked(plan))
        assert (use.one, use.expected, use.state) == ("Brook, Aeshna juncea", Individuals(8, 8), "safe")

    def test_no_limits(self) -> None:
        plan = f.field_plan()
        f.stop(plan)
        f.attach(plan, permit("COL-1"), r.person())
        assert cap_uses(checked(plan)) == ()
