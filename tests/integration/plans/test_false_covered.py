"""Ways in which the check of a plan could say "covered" and be wrong; each of them says something else.

Days, metres and numbers by hand. The rules are those of the contract of verdicts (sections 2 to 7); what a plan adds is
that stops, ways of taking and groups are written as rows.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.utils import timezone

from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.papers import actions
from governance.papers.models import Paper, PaperStatus, VersionCap
from governance.plans.models import FieldPlan, PlanDecision
from governance.plans.queries.check import CheckedCell, check_plan
from governance.plans.queries.one_cell import answer_groups
from governance.verdicts.models import CountrySheet, HouseRuleSet
from tests.factories import plans as f
from tests.factories import register as r
from tests.factories.paper_objects import paper_object

pytestmark = pytest.mark.django_db

JUNE = {"in_force_from": "2027-06-01", "in_force_to": "2027-06-30"}
COVERED, CANNOT_TELL, OUTSIDE = Verdict.COVERED, Verdict.CANNOT_TELL, Verdict.OUTSIDE


def square(west: float, south: float, east: float, north: float) -> dict[str, Any]:
    ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    return {"type": "Polygon", "coordinates": [ring]}


def text_of(shape: dict[str, Any]) -> str:
    return str(shape).replace("'", '"')


@pytest.fixture
def plan() -> FieldPlan:
    """A plan in Sweden, whose sheet requires a collecting permit."""
    r.rule(r.sheet("SE"), Layer.COLLECTING)
    return f.field_plan()


def permit(*plans: FieldPlan, reference: str = "COL-1", link: dict[str, Any] | None = None, **version: Any) -> Paper:
    """A paper of one version for June 2027, linked to these plans."""
    fields = {"jurisdiction": "SE", "issuer": "County (invented)", "versions": [{**JUNE, **version}]}
    paper = actions.register(data=paper_object(reference, **fields), by=r.person(Role.REGISTRAR), why="a test")
    for plan in plans:
        f.attach(plan, paper, r.person())
    if link:
        r.link(paper, **link)
    return paper


def cells(plan: FieldPlan, layer: Layer = Layer.COLLECTING) -> list[CheckedCell]:
    check = check_plan(plan, today=date(2026, 11, 26))
    return [check.cells[one.stop.pk, layer] for one in check.loaded.stops]


def told(plan: FieldPlan, layer: Layer = Layer.COLLECTING) -> list[tuple[Verdict, set[str]]]:
    """Of every stop the verdict, and the codes of the rows that decided."""
    return [
        (cell.verdict, {code for answer in cell.answers if answer.verdict == cell.verdict for code in answer.codes})
        for cell in cells(plan, layer)
    ]


def verdicts(plan: FieldPlan, layer: Layer = Layer.COLLECTING) -> list[Verdict]:
    return [cell.verdict for cell in cells(plan, layer)]


class TestNumbers:
    """A limit of 10 in June."""

    def cap(self, **more: Any) -> dict[str, Any]:
        return {"caps": [{"limit": 10, **more}]}

    def test_one_number_for_all_ways(self, plan: FieldPlan) -> None:
        """10 by net, light and trap together are 10, not 30."""
        permit(plan, **self.cap())
        stop = f.stop(plan, methods="hand net | light trap")
        f.trap(stop)
        f.target(stop, expected="10")
        assert verdicts(plan) == [COVERED]

    def test_a_trap_takes_the_number_too(self, plan: FieldPlan) -> None:
        """The team leaves before the permit begins, the trap stands in it: all 40 may be the trap's."""
        permit(plan, **self.cap())
        stop = f.stop(plan, first_on=date(2027, 5, 20), last_on=date(2027, 5, 25))
        f.trap(stop, first_on=date(2027, 6, 1), last_on=date(2027, 6, 20))
        f.target(stop, expected="40")
        trap = next(answer for answer in cells(plan)[0].answers if answer.row.trap)
        assert (trap.verdict, trap.codes) == (CANNOT_TELL, ("cap-possible",))
        assert trap.findings[0][0].measure == 40

    def test_a_limit_for_each_event_holds_for_the_trap(self, plan: FieldPlan) -> None:
        permit(plan, **self.cap(per="event"))
        stop = f.stop(plan)
        f.trap(stop)
        f.target(stop, expected="11")
        assert all(answer.codes == ("cap-possible",) for answer in cells(plan)[0].answers)

    def test_a_limit_for_each_event_counts_stops_apart(self, plan: FieldPlan) -> None:
        """8 at each of two stops: no event has more than 10."""
        permit(plan, **self.cap(per="event"))
        for day in (3, 8):
            f.target(f.stop(plan, first_on=date(2027, 6, day), last_on=date(2027, 6, day)), expected="8")
        assert verdicts(plan) == [COVERED, COVERED]

    def test_stops_count_together(self, plan: FieldPlan) -> None:
        """6 and then 6: the second makes it 12 (the contract: A is what may have been taken by then)."""
        permit(plan, **self.cap())
        for day in (3, 8):
            f.target(f.stop(plan, first_on=date(2027, 6, day), last_on=date(2027, 6, day)), expected="6")
        assert told(plan) == [(COVERED, {"place-not-stated"}), (CANNOT_TELL, {"cap-possible"})]

    def test_blank_number_has_no_bound(self, plan: FieldPlan) -> None:
        permit(plan, **self.cap())
        f.target(f.stop(plan))
        assert told(plan) == [(CANNOT_TELL, {"cap-possible"})]
        (settle,) = [one.settle for one in answer_groups(cells(plan)[0])[0].findings if one.settle]
        assert settle == "say how many of Trichoptera are expected at this stop."

    @pytest.mark.parametrize("percent", [None, 25])
    def test_about_is_read_by_the_house_rule(self, plan: FieldPlan, percent: int | None) -> None:
        """About 50, a quarter each way, is at most 62.5, so 63: safe at 63, not at 62. Without a rule: no bound."""
        HouseRuleSet.objects.create(approximate_count_percent=percent)
        permit(plan, caps=[{"limit": 63}])
        f.target(f.stop(plan), expected="ca. 50")
        assert verdicts(plan) == [COVERED if percent else CANNOT_TELL]
        VersionCap.objects.update(limit=62)
        (finding, _), *_ = cells(plan)[0].worst.findings
        assert (finding.code, finding.measure) == ("cap-possible", 63 if percent else None)

    def test_specimens_on_file_count(self, plan: FieldPlan) -> None:
        """7 taken last week and 4 planned are 11."""
        permit(plan, link={"accession": r.accession("LMN-1")}, places={"include": [{"country": "SE"}]}, **self.cap())
        f.target(f.stop(plan), expected="4")
        assert verdicts(plan) == [COVERED]
        place = {"decimal_latitude": "61.9", "decimal_longitude": "15.3", "country_code": "SE"}
        r.specimen(accession=r.accession("LMN-2"), event=r.event(day="2027-06-01", **place), count_low=7, count_high=7)
        assert verdicts(plan) == [COVERED], "of another accession"
        first = Paper.objects.get().links.get().accession
        r.specimen(accession=first, event=r.event(day="2027-06-01", **place), count_low=7, count_high=7)
        assert told(plan) == [(CANNOT_TELL, {"cap-possible"})]

    def test_other_open_plans_count(self, plan: FieldPlan) -> None:
        other = f.field_plan()
        permit(plan, other, **self.cap())
        f.target(f.stop(plan), expected="6")
        f.target(f.stop(other, first_on=date(2027, 6, 1), last_on=date(2027, 6, 1)), expected="6")
        assert told(plan) == [(CANNOT_TELL, {"cap-possible"})]
        FieldPlan.objects.filter(pk=other.pk).update(
            closed_at=timezone.now(), closed_by=r.person(), closed_why="no money"
        )
        assert verdicts(plan) == [COVERED]

    def test_a_plan_that_became_an_accession_does_not(self, plan: FieldPlan) -> None:
        """Its specimens do, and until one is entered what it expected, since that is taken; the plan itself is still
        judged as it was planned, and they do not count beside it."""
        other, became = f.field_plan(), r.accession("LMN-3")
        paper = permit(plan, other, **self.cap())
        for one in (plan, other):
            f.target(f.stop(one, first_on=date(2027, 6, 1), last_on=date(2027, 6, 1)), expected="6")
        FieldPlan.objects.filter(pk=other.pk).update(accession=became)
        other.refresh_from_db()
        assert told(plan) == [(CANNOT_TELL, {"cap-possible"})], "6 that were taken there and 6 here, at most 10"
        event = r.event("empty", day="2027-06-01")
        empty = r.specimen("LMN-0", accession=became, event=event, count_low=0, count_high=0)
        assert verdicts(plan) == [COVERED], "its specimens are being entered: they alone count"
        empty.delete()
        r.link(paper, accession=became)
        place = {"decimal_latitude": "61.95", "decimal_longitude": "15.3", "country_code": "SE"}
        r.specimen(accession=became, event=r.event(day="2027-06-01", **place), count_low=6, count_high=6)
        assert verdicts(plan) == [CANNOT_TELL]
        FieldPlan.objects.filter(pk=plan.pk).update(closed_at=timezone.now(), closed_by=r.person(), closed_why="x")
        assert verdicts(other) == [COVERED]

    @pytest.mark.parametrize("link", ["site", "all_accessions"])
    def test_other_plans_count_without_being_attached(self, plan: FieldPlan, link: str) -> None:
        """A paper that is linked to the site of both, or to everything, speaks for the other plan too."""
        site, other = r.site("SE-1", name="Mire"), f.field_plan()
        permit(link={link: site if link == "site" else True}, places={"include": [{"country": "SE"}]}, **self.cap())
        for one in (plan, other):
            f.target(f.stop(one, site=site, first_on=date(2027, 6, 1), last_on=date(2027, 6, 1)), expected="6")
        assert told(plan) == [(CANNOT_TELL, {"cap-possible"})]

    def test_a_trial_is_judged_beside_what_is_planned(self, plan: FieldPlan) -> None:
        """Moved into June, the stop still takes its 40; and they are not taken twice."""
        from dataclasses import replace

        permit(plan, caps=[{"limit": 39}])
        permit(plan, reference="COL-2", caps=[{"limit": 40}], methods={"include": ["light trap"]})
        f.target(f.stop(plan, first_on=date(2027, 7, 1), last_on=date(2027, 7, 2)), expected="40")
        check = check_plan(plan, today=date(2026, 11, 26))
        moved = replace(check.rows[0], first_on=date(2027, 6, 8), last_on=date(2027, 6, 9), counts=False)
        lit = replace(moved, method="light trap")
        answers = [check.bench.judge([row], [Layer.COLLECTING])[0][0] for row in (moved, lit)]
        assert [answer.verdict for answer in answers] == [CANNOT_TELL, COVERED]
        assert answers[0].codes == ("cap-possible",)

    def test_an_event_with_the_number_of_a_plan(self, plan: FieldPlan) -> None:
        """Somebody writes a field number as plans are known to the engine: the two stay apart, and nothing breaks."""
        stop = f.stop(plan)
        permit(plan, link={"all_accessions": True}, places={"include": [{"country": "SE"}]}, **self.cap(per="event"))
        f.target(stop, expected="6")
        r.specimen(event=r.event(f"plan:{plan.pk}/{stop.pk}", day="2027-06-04"), count_low=6, count_high=6)
        assert verdicts(plan) == [COVERED]


class TestDays:
    def test_days_not_fixed(self, plan: FieldPlan) -> None:
        permit(plan)
        f.stop(plan, first_on=None, last_on=None)
        f.stop(plan, last_on=None)
        assert told(plan) == [(CANNOT_TELL, {"date-missing"})] * 2

    def test_a_trap_outlasts_the_permit(self, plan: FieldPlan) -> None:
        """30 June is the last day: 11 of 12 days are inside."""
        permit(plan)
        stop = f.stop(plan)
        f.trap(stop, first_on=date(2027, 6, 20), last_on=date(2027, 7, 1))
        ((verdict, codes),) = told(plan)
        assert (verdict, codes) == (Verdict.STRADDLES, {"straddles"})
        (finding, _), *_ = cells(plan)[0].worst.findings
        assert (finding.measure, finding.against) == (11, 12)

    def test_traps_alone(self, plan: FieldPlan) -> None:
        """A stop of traps needs no days of its own, and one without any way of taking does not pass for covered."""
        permit(plan, methods={"include": ["Malaise trap"]})
        f.trap(
            f.stop(plan, methods="", first_on=None, last_on=None), first_on=date(2027, 6, 1), last_on=date(2027, 6, 9)
        )
        f.stop(plan, methods="")
        assert told(plan) == [(COVERED, {"place-not-stated"}), (CANNOT_TELL, {"method-missing"})]
        check = check_plan(plan, today=date(2026, 11, 26))
        assert check.loaded.stops[0].days == (date(2027, 6, 1), date(2027, 6, 9))

    def test_blank_days_of_a_trap(self, plan: FieldPlan) -> None:
        permit(plan)
        f.trap(f.stop(plan), last_on=None)
        assert told(plan) == [(CANNOT_TELL, {"date-missing"})]

    def test_way_home_blank(self, plan: FieldPlan) -> None:
        """No way home, or one without days, never takes the collecting days instead (section 2)."""
        r.rule(CountrySheet.objects.get(country="SE"), Layer.EXPORT)
        paper = permit(plan, reference="EXP-1")
        Paper.objects.filter(pk=paper.pk).update(layers=Paper.layers_of([Layer.EXPORT]))
        f.stop(plan)
        assert verdicts(plan, Layer.EXPORT) == [CANNOT_TELL]
        home = f.way_home(plan)
        assert told(plan, Layer.EXPORT) == [(CANNOT_TELL, {"date-missing"})]
        home.exported_on = "2027-06-30"
        home.save()
        assert verdicts(plan, Layer.EXPORT) == [COVERED]
        f.stop(plan, consignment=f.way_home(plan, exported_on="2027-07-01"))
        assert verdicts(plan, Layer.EXPORT) == [COVERED, OUTSIDE]


class TestPeopleMethodsAndCountry:
    def test_nobody_named(self, plan: FieldPlan) -> None:
        permit(plan, people={"named": ["J. Ek"]})
        for people in ("", "unknown", "J. Ek | N. Berg", "N. Berg"):
            f.stop(plan, people=people)
        assert told(plan) == [
            (CANNOT_TELL, {"person-missing"}), (CANNOT_TELL, {"person-missing"}), (CANNOT_TELL, {"person-mixed"}),
            (OUTSIDE, {"person"}),
        ]  # fmt: skip

    def test_each_method_is_meant(self, plan: FieldPlan) -> None:
        permit(plan, methods={"include": ["hand net"]})
        f.stop(plan, methods="hand net | pitfall trap")
        assert told(plan) == [(OUTSIDE, {"method"})]

    def test_country_blank(self, plan: FieldPlan) -> None:
        """Whether a permit is required cannot be told, with no paper at all; a false "not required" would be as bad."""
        r.rule(r.sheet("NO"), Layer.COLLECTING, required=False)
        f.stop(plan, country="")
        assert told(plan) == [(CANNOT_TELL, {"requirement-unknown"})]

    def test_no_group_named(self, plan: FieldPlan) -> None:
        permit(plan, taxa={"include": ["Odonata"]})
        f.stop(plan)
        assert verdicts(plan) == [CANNOT_TELL]

    def test_cites_word_of_the_planner(self, plan: FieldPlan) -> None:
        """ "No listed species" is what the planner thinks: it is no rule and no decision."""
        r.rule(r.sheet("GE"), Layer.CITES)
        stop = f.stop(plan, country="GE", longitude_deg=43.9, latitude_deg=42.08)
        home = f.way_home(plan, exported_on="2027-06-20", imported_on="2027-06-21", cites="none")
        before = verdicts(plan, Layer.CITES)
        home.cites = "listed"
        home.save()
        assert before == verdicts(plan, Layer.CITES) == [Verdict.MISSING]
        PlanDecision.objects.create(
            plan=plan, stop=stop, layer=Layer.CITES, reason="no listed species lives there", evidence="checklist",
            decided_by=r.person(),
        )  # fmt: skip
        assert verdicts(plan, Layer.CITES) == [Verdict.NOT_REQUIRED]


class TestPapers:
    def test_attached_to_one_stop(self, plan: FieldPlan) -> None:
        first, _ = f.stop(plan), f.stop(plan)
        f.attach(plan, permit(), r.person(), stop=first)
        assert verdicts(plan) == [COVERED, Verdict.MISSING]

    def test_taken_off(self, plan: FieldPlan) -> None:
        permit(plan)
        f.stop(plan)
        plan.plan_papers.update(unlinked_at=timezone.now(), unlinked_by=r.person())
        assert verdicts(plan) == [Verdict.MISSING]

    @pytest.mark.parametrize("state", ["applied", "refused"])
    def test_applied_for_or_refused(self, plan: FieldPlan, state: str) -> None:
        paper = permit(plan)
        f.stop(plan)
        assert verdicts(plan) == [COVERED]
        PaperStatus.objects.create(paper=paper, state=state, from_on="2026-11-01")
        assert verdicts(plan) == [Verdict.MISSING]

    def test_unread(self, plan: FieldPlan) -> None:
        paper = permit(plan)
        paper.versions.all().delete()
        f.stop(plan)
        assert told(plan) == [(CANNOT_TELL, {"paper-unread"})]

    def test_restricted_papers_still_decide(self, plan: FieldPlan) -> None:
        """Who may read it is for the page; that it covers is no secret."""
        Paper.objects.filter(pk=permit(plan).pk).update(restricted_to=1, restricted_why="personal data")
        f.stop(plan)
        assert verdicts(plan) == [COVERED]

    def test_decision_for_another_stop(self, plan: FieldPlan) -> None:
        first, _ = f.stop(plan), f.stop(plan)
        decision = PlanDecision.objects.create(
            plan=plan, stop=first, layer=Layer.COLLECTING, reason="a garden", evidence="letter", decided_by=r.person()
        )
        assert verdicts(plan) == [Verdict.NOT_REQUIRED, Verdict.MISSING]
        decision.withdrawn_at, decision.withdrawn_by = timezone.now(), r.person()
        decision.save()
        assert verdicts(plan) == [Verdict.MISSING] * 2

    def test_a_stop_removed_takes_its_papers(self, plan: FieldPlan) -> None:
        first, second = f.stop(plan), f.stop(plan)
        f.attach(plan, permit(), r.person(), stop=first)
        first.delete()
        assert [cell.stop.stop.pk for cell in cells(plan)] == [second.pk]
        assert verdicts(plan) == [Verdict.MISSING]


class TestSites:
    def test_a_stop_that_is_the_site(self, plan: FieldPlan) -> None:
        """The paper names the site and the register maps it: the site lies in itself, edge on edge."""
        site = r.site("SE-1", name="Mire")
        r.boundary(site, polygon=text_of(square(15.0, 62.0, 15.1, 62.1)))
        permit(plan, places={"include": [{"site": "SE-1"}]})
        f.stop(plan, site=site, longitude_deg=None, latitude_deg=None, radius_m=None)
        assert told(plan) == [(COVERED, {"by-name"})]

    def test_but_not_in_a_part_that_the_paper_maps(self, plan: FieldPlan) -> None:
        """The paper draws half of the site: the stop is all of it."""
        site = r.site("SE-1", name="Mire")
        r.boundary(site, polygon=text_of(square(15.0, 62.0, 15.1, 62.1)))
        permit(plan, places={"include": [{"site": "SE-1", "geojson": square(15.0, 62.0, 15.05, 62.1)}]})
        f.stop(plan, site=site, longitude_deg=None, latitude_deg=None, radius_m=None)
        assert told(plan) == [(CANNOT_TELL, {"area-edge"})]

    def test_nor_where_another_site_is_excluded(self, plan: FieldPlan) -> None:
        """The excluded pond lies in the mire, and both are mapped by the register alone."""
        mire, pond = r.site("SE-1", name="Mire"), r.site("SE-2", name="Pond")
        r.boundary(mire, polygon=text_of(square(15.0, 62.0, 15.1, 62.1)))
        r.boundary(pond, polygon=text_of(square(15.02, 62.02, 15.03, 62.03)))
        permit(plan, places={"include": [{"site": "SE-1"}], "exclude": [{"site": "SE-2"}]})
        f.stop(plan, site=mire, longitude_deg=None, latitude_deg=None, radius_m=None)
        assert told(plan) == [(CANNOT_TELL, {"exclusion-edge"})]

    def test_a_point_outside_the_site_it_names(self, plan: FieldPlan) -> None:
        """0.1 degrees of latitude north of it: 11 km."""
        site = r.site("SE-1", name="Mire")
        r.boundary(site, polygon=text_of(square(15.0, 62.0, 15.1, 62.1)))
        permit(plan, places={"include": [{"site": "SE-1"}]})
        f.stop(plan, site=site, longitude_deg=15.05, latitude_deg=62.2, radius_m=50.0)
        f.stop(plan, site=site, longitude_deg=15.05, latitude_deg=62.05, radius_m=50.0)
        assert told(plan) == [(CANNOT_TELL, {"place-conflict"}), (COVERED, set())]

    @pytest.mark.parametrize("second", [(15.0, 62.0, 15.2, 62.1), (15.0, 62.0, 15.05, 62.1)])
    def test_the_boundary_changes_during_the_stop(self, plan: FieldPlan, second: tuple[float, ...]) -> None:
        """From 5 June the mire is larger, or smaller: the stop of 3 to 8 June is all that it ever was.

        The paper's square holds what the mire is at first, or later, but not the whole of both.
        """
        site = r.site("SE-1", name="Mire")
        r.boundary(site, polygon=text_of(square(15.0, 62.0, 15.1, 62.1)), held_to=date(2027, 6, 4))
        r.boundary(site, polygon=text_of(square(*second)), held_from=date(2027, 6, 5))
        smaller = min(15.1, second[2])
        permit(plan, places={"include": [{"geojson": square(14.9, 61.9, smaller + 0.01, 62.2)}]})
        own = {"site": site, "longitude_deg": None, "latitude_deg": None, "radius_m": None}
        f.stop(plan, last_on=date(2027, 6, 8), **own)
        assert told(plan) == [(CANNOT_TELL, {"area-edge"})]

    def test_no_boundary_on_one_day(self, plan: FieldPlan) -> None:
        """Known until 4 June: on the 5th the site is a name, and the paper's square names nothing."""
        site = r.site("SE-1", name="Mire")
        r.boundary(site, polygon=text_of(square(15.0, 62.0, 15.1, 62.1)), held_to=date(2027, 6, 4))
        permit(plan, places={"include": [{"geojson": square(14.9, 61.9, 15.2, 62.2)}]})
        own = {"site": site, "longitude_deg": None, "latitude_deg": None, "radius_m": None}
        f.stop(plan, **own)
        f.stop(plan, last_on=date(2027, 6, 4), **own)
        assert told(plan) == [(CANNOT_TELL, {"place-missing"}), (COVERED, set())]

    @pytest.mark.parametrize(("error_m", "expected"), [(None, COVERED), (500.0, COVERED), (600.0, CANNOT_TELL)])
    def test_the_line_of_the_site_is_not_well_known(
        self, plan: FieldPlan, error_m: float | None, expected: Verdict
    ) -> None:
        """The paper's square reaches 0.01 degrees further to the west: 523 m at 62 N (111,320 m x cos 62).

        A line known to 500 m may reach that far; the stop is drawn a little larger than that, never smaller.
        """
        site = r.site("SE-1", name="Mire")
        r.boundary(site, polygon=text_of(square(15.0, 62.0, 15.1, 62.1)), error_m=error_m)
        permit(plan, places={"include": [{"geojson": square(14.99, 61.9, 15.2, 62.2)}]})
        f.stop(plan, site=site, longitude_deg=None, latitude_deg=None, radius_m=None)
        assert verdicts(plan) == [expected]

    def test_a_name_that_two_sites_bear(self, plan: FieldPlan) -> None:
        """The paper names "Mire", and may mean the other one."""
        site = r.site("SE-1", name="Mire")
        permit(plan, places={"include": [{"site": "Mire"}]})
        f.stop(plan, site=site, longitude_deg=None, latitude_deg=None, radius_m=None)
        assert verdicts(plan) == [COVERED]
        r.site("SE-2", name="mire")
        assert verdicts(plan) == [CANNOT_TELL]

    def test_an_area_over_the_edge(self, plan: FieldPlan) -> None:
        """Drawn 0.002 degrees of latitude, 223 m, over the edge of the square."""
        permit(plan, places={"include": [{"geojson": square(15.0, 62.0, 15.1, 62.1)}]})
        none = {"longitude_deg": None, "latitude_deg": None, "radius_m": None}
        f.stop(plan, area=text_of(square(15.02, 62.02, 15.08, 62.102)), **none)
        f.stop(plan, area=text_of(square(15.02, 62.02, 15.08, 62.098)), **none)
        assert told(plan) == [(CANNOT_TELL, {"area-edge"}), (COVERED, set())]
