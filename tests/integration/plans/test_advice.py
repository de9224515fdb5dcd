"""Advice for a plan, kind by kind. Days and numbers by hand; the trade's practice where it has a source."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.papers import actions
from governance.papers.models import Paper, PaperContinuation
from governance.plans.advice import Advice, advise
from governance.plans.models import FieldPlan, PlanNotice, Stop
from governance.plans.queries.check import PlanCheck, check_plan
from governance.verdicts.models import CountrySheet
from tests.factories import plans as f
from tests.factories import register as r
from tests.factories.paper_objects import paper_object

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 26)
JUNE = {"in_force_from": "2027-06-01", "in_force_to": "2027-06-30"}


@pytest.fixture
def plan() -> FieldPlan:
    """A plan in Sweden, whose sheet requires a collecting permit."""
    r.rule(r.sheet("SE"), Layer.COLLECTING, lead_days=90)
    return f.field_plan()


def permit(plan: FieldPlan, *versions: dict[str, Any], reference: str = "COL-1", **face: Any) -> Paper:
    """A paper with these versions, linked to the plan."""
    fields = {"jurisdiction": "SE", "issuer": "County of Jämtland", "versions": list(versions) or [JUNE], **face}
    paper = actions.register(data=paper_object(reference, **fields), by=r.person(Role.REGISTRAR), why="from the scan")
    f.attach(plan, paper, r.person())
    return paper


def checked(plan: FieldPlan) -> PlanCheck:
    return check_plan(plan, today=TODAY)


def advice(plan: FieldPlan, code: str = "") -> list[Advice]:
    """All of it, or that of one code; whatever was tried must be covered, alone as well as among the others."""
    check = checked(plan)
    found = advise(check)
    for one in found:
        for row in one.tried:
            assert any(check.bench.judge([row], [layer])[0][0].verdict == Verdict.COVERED for layer in one.layers)
    return [one for one in found if not code or one.code == code]


def verdict(plan: FieldPlan, layer: Layer = Layer.COLLECTING) -> Verdict:
    """The worst of the stops."""
    return max(cell.verdict for cell in checked(plan).cells.values() if cell.layer == layer)


def day(text: str) -> date:
    return date.fromisoformat(text)


class TestDays:
    """Trap-run practice: the bottle is emptied on the last day of validity, so that a run never straddles (common
    practice in the trade, no published source); a catch over both cannot be split (the contract, section 3)."""

    def test_empty_the_trap_on_the_last_day(self, plan: FieldPlan) -> None:
        """10 June to 9 July, permit to 30 June: the run to 30 June is covered, 21 of 30 days."""
        permit(plan)
        stop = f.stop(plan, name="Lake", methods="", first_on=None, last_on=None)
        trap = f.trap(stop, first_on=day("2027-06-10"), last_on=day("2027-07-09"))

        (one,) = advice(plan, "empty-trap")

        assert one.by_day == day("2027-06-30")
        assert one.sentence == (
            "Empty the traps at Lake on 30 June 2027, the last day covered (COL-1); a catch that runs over it cannot "
            "be split."
        )
        assert (one.stops, one.layers) == ((stop.pk,), (Layer.COLLECTING,))
        assert verdict(plan) == Verdict.STRADDLES
        trap.last_on = one.by_day
        trap.save()
        assert verdict(plan) == Verdict.COVERED

    def test_set_the_trap_on_the_first_day(self, plan: FieldPlan) -> None:
        permit(plan)
        stop = f.stop(plan, methods="", first_on=None, last_on=None)
        f.trap(stop, first_on=day("2027-05-28"), last_on=day("2027-06-09"))
        (one,) = advice(plan, "set-trap")
        assert one.by_day == day("2027-06-01")
        assert "on 1 June 2027, the first day covered" in one.sentence

    def test_a_hole_of_one_day_between_two_papers(self, plan: FieldPlan) -> None:
        """A to 14 June, B from 16 June: the 15th is not covered; one-day holes count (the contract, section 7.4)."""
        permit(plan, {"in_force_from": "2027-06-01", "in_force_to": "2027-06-14"}, reference="COL-A")
        permit(plan, {"in_force_from": "2027-06-16", "in_force_to": "2027-06-30"}, reference="COL-B")
        stop = f.stop(plan, name="Lake", methods="", first_on=None, last_on=None)
        f.trap(stop, first_on=day("2027-06-10"), last_on=day("2027-06-20"))

        (one,) = advice(plan)

        assert one.code == "pause-trap"
        assert one.sentence == (
            "Empty the traps at Lake on 14 June 2027 and set them anew on 16 June 2027: 1 day between is not covered "
            "(COL-A before, COL-B after)."
        )
        assert {used.reference for used in one.papers} == {"COL-A", "COL-B"}

    def test_days_of_a_team(self, plan: FieldPlan) -> None:
        """Permit to 17 June; 14 to 18 June: four days of five."""
        permit(plan, {"in_force_from": "2027-06-01", "in_force_to": "2027-06-17"})
        f.stop(plan, name="Mire", first_on=day("2027-06-14"), last_on=day("2027-06-18"))
        (one,) = advice(plan, "days-covered")
        assert one.sentence == "At Mire 14 to 17 June 2027 are covered (COL-1). 18 June 2027 is not."

    def test_a_hole_in_the_days_of_a_team(self, plan: FieldPlan) -> None:
        permit(plan, {"in_force_from": "2027-06-01", "in_force_to": "2027-06-14"}, reference="COL-A")
        permit(plan, {"in_force_from": "2027-06-17", "in_force_to": "2027-06-30"}, reference="COL-B")
        f.stop(plan, name="Mire", first_on=day("2027-06-13"), last_on=day("2027-06-18"))
        (one,) = advice(plan, "hole")
        assert one.sentence == (
            "At Mire 13 to 14 June 2027 and 17 to 18 June 2027 are covered (COL-A and COL-B). "
            "A hole of 2 days is not: 15 to 16 June 2027."
        )

    def test_a_season_that_closes_in_mid_trip(self, plan: FieldPlan) -> None:
        permit(plan, {**JUNE, "closed_seasons": [["06-10", "08-31"]]})
        f.stop(plan, name="Mire", first_on=day("2027-06-08"), last_on=day("2027-06-12"))
        (one,) = advice(plan, "closed-season")
        assert "At Mire 8 to 9 June 2027 are covered" in one.sentence
        assert "In a closed season: 10 to 12 June 2027 (3 days)." in one.sentence

    def test_a_suspension_in_mid_trip(self, plan: FieldPlan) -> None:
        permit(plan, JUNE, suspensions=[["2027-06-10", "2027-06-11"]])
        f.stop(plan, name="Mire", first_on=day("2027-06-08"), last_on=day("2027-06-12"))
        (one,) = advice(plan, "suspended")
        assert "Suspended: 10 to 11 June 2027 (2 days)." in one.sentence

    def test_wholly_outside_there_is_nothing_to_shorten(self, plan: FieldPlan) -> None:
        permit(plan)
        f.trap(f.stop(plan, first_on=day("2027-08-01"), last_on=day("2027-08-09")))
        assert advice(plan) == []

    def test_covered_there_is_nothing_to_advise(self, plan: FieldPlan) -> None:
        permit(plan)
        f.stop(plan)
        assert verdict(plan) == Verdict.COVERED
        assert advice(plan) == []


class TestPeople:
    """Named persons only: a common condition of research permits; a person more is a change to be asked for."""

    def test_without_the_person_who_is_not_named(self, plan: FieldPlan) -> None:
        permit(plan, {**JUNE, "people": {"named": ["J. Ek", "M. Lind"]}})
        stop = f.stop(plan, name="Mire", people="J. Ek | S. Aldrin | M. Lind")
        (one,) = advice(plan, "person")
        assert one.sentence.startswith(
            "Without S. Aldrin, whom COL-1 does not name for certain, Mire would be covered."
        )
        Stop.objects.filter(pk=stop.pk).update(people="J. Ek | M. Lind")
        assert verdict(plan) == Verdict.COVERED

    def test_two_who_are_not_named(self, plan: FieldPlan) -> None:
        permit(plan, {**JUNE, "people": {"named": ["J. Ek"]}})
        f.stop(plan, people="J. Ek | S. Aldrin | M. Lind")
        (one,) = advice(plan, "person")
        assert one.sentence.startswith("Without S. Aldrin and M. Lind,")

    def test_nobody_is_named(self, plan: FieldPlan) -> None:
        permit(plan, {**JUNE, "people": {"named": ["M. Lind"]}})
        f.stop(plan, name="Mire", people="S. Aldrin")
        (one,) = advice(plan)
        assert one.code == "person-nobody"
        assert one.sentence.startswith("Nobody who is to collect at Mire is named on COL-1")

    def test_nobody_is_entered(self, plan: FieldPlan) -> None:
        permit(plan, {**JUNE, "people": {"named": ["M. Lind"]}})
        f.stop(plan, people="")
        (one,) = advice(plan)
        assert one.sentence.startswith("Say who is to collect at")

    def test_two_faults_at_once_are_not_settled_by_one(self, plan: FieldPlan) -> None:
        permit(plan, {**JUNE, "people": {"named": ["M. Lind"]}, "methods": {"include": ["light trap"]}})
        f.stop(plan, people="S. Aldrin", methods="hand net")
        assert advice(plan) == []


class TestTaking:
    def test_one_method_is_not_allowed(self, plan: FieldPlan) -> None:
        permit(plan, {**JUNE, "methods": {"exclude": ["light trap"]}})
        stop = f.stop(plan, name="Mire", methods="hand net | light trap")
        (one,) = advice(plan)
        assert one.code == "method"
        assert one.sentence.startswith(
            "Without the light trap, Mire would be covered (COL-1), with the hand net alone."
        )
        Stop.objects.filter(pk=stop.pk).update(methods="hand net")
        assert verdict(plan) == Verdict.COVERED

    def test_the_only_method_is_not_allowed(self, plan: FieldPlan) -> None:
        permit(plan, {**JUNE, "methods": {"include": ["pitfall trap"]}})
        f.stop(plan, name="Mire", methods="light trap")
        (one,) = advice(plan)
        assert one.sentence.startswith("Only the light trap stands against Mire")

    def test_one_group_is_not_allowed(self, plan: FieldPlan) -> None:
        permit(plan, {**JUNE, "taxa": {"include": ["Trichoptera"]}})
        stop = f.stop(plan, name="Mire")
        odonata = f.target(stop, "Odonata")
        f.target(stop, "Trichoptera")
        (one,) = advice(plan)
        assert one.code == "group"
        assert one.sentence.startswith("Without Odonata, Mire would be covered (COL-1), for Trichoptera.")
        odonata.delete()
        assert verdict(plan) == Verdict.COVERED


class TestPlaces:
    """One degree of longitude at 61.95 N is 52.5 km (111.32 km times the cosine), so 0.001 degree is 52 m."""

    def test_a_smaller_radius(self, plan: FieldPlan) -> None:
        """The permit's disc of 500 m about the point itself: a radius of 400 m is the largest round one below."""
        permit(plan, {**JUNE, "places": {"include": [{"point": [15.3, 61.95], "radius_m": 500}]}})
        stop = f.stop(plan, name="Mire", longitude_deg=15.3, latitude_deg=61.95, radius_m=600)
        (one,) = advice(plan)
        assert one.code == "radius"
        assert one.sentence == "A radius of 400 m instead of 600 m at Mire would be covered (COL-1)."
        Stop.objects.filter(pk=stop.pk).update(radius_m=400)
        assert verdict(plan) == Verdict.COVERED

    def test_moved_into_the_area(self, plan: FieldPlan) -> None:
        """1050 m east of the middle of a disc of 1000 m, radius 100 m: 150 m westward touch the edge, 200 m do not."""
        permit(plan, {**JUNE, "places": {"include": [{"point": [15.3, 61.95], "radius_m": 1000}]}})
        stop = f.stop(plan, name="Mire", longitude_deg=15.3 + 1.05 / 52.47, latitude_deg=61.95, radius_m=100)
        (one,) = advice(plan)
        assert one.code == "move"
        assert one.sentence == "Moved by 200 m to the west, Mire would be covered (COL-1)."
        Stop.objects.filter(pk=stop.pk).update(longitude_deg=15.3 + 0.85 / 52.47)
        assert verdict(plan) == Verdict.COVERED

    def test_an_area_drawn_back(self, plan: FieldPlan) -> None:
        """A square of about 1050 m by 1114 m that reaches 105 m over the eastern edge: 150 m is the next round one."""
        square = [[15.3, 61.95], [15.32, 61.95], [15.32, 61.96], [15.3, 61.96], [15.3, 61.95]]
        ground = [[15.2, 61.9], [15.318, 61.9], [15.318, 62.0], [15.2, 62.0], [15.2, 61.9]]
        area = {"geojson": {"type": "Polygon", "coordinates": [ground]}, "boundary_error_m": 0}
        permit(plan, {**JUNE, "places": {"include": [area]}})
        f.stop(
            plan, name="Mire", longitude_deg=None, latitude_deg=None, radius_m=None,
            area=f'{{"type": "Polygon", "coordinates": [{square}]}}',
        )  # fmt: skip
        (one,) = advice(plan)
        assert one.code == "draw-back"
        assert one.sentence == "Drawn back by 150 m on all sides, the area of Mire would be covered (COL-1)."

    def test_far_away_nothing_is_moved(self, plan: FieldPlan) -> None:
        permit(plan, {**JUNE, "places": {"include": [{"point": [16.0, 61.95], "radius_m": 1000}]}})
        f.stop(plan, longitude_deg=15.3, latitude_deg=61.95, radius_m=100)
        assert advice(plan) == []


class TestNumbers:
    def test_what_still_fits(self, plan: FieldPlan) -> None:
        """Limit 50; 30 at the first stop, 40 at the second, which comes later: 20 of the 40 still fit."""
        permit(plan, {**JUNE, "caps": [{"taxon": "Trichoptera", "each": "together", "per": "paper", "limit": 50}]})
        one, two = (
            f.stop(plan, name=name, first_on=day(on), last_on=day(on))
            for name, on in (("Mire", "2027-06-03"), ("Lake", "2027-06-05"))
        )
        f.target(one, "Trichoptera", expected="30")
        second = f.target(two, "Trichoptera", expected="40")
        (said,) = advice(plan, "number")
        assert said.sentence.startswith(
            "At most 20 of Trichoptera at Lake would stay within the limit of COL-1 (50 individuals"
        )
        second.expected = "20"
        second.save()
        assert verdict(plan) == Verdict.COVERED

    def test_no_number_is_entered(self, plan: FieldPlan) -> None:
        permit(plan, {**JUNE, "caps": [{"each": "together", "per": "paper", "limit": 50}]})
        f.target(f.stop(plan, name="Mire"), "Trichoptera")
        (said,) = advice(plan, "number")
        assert said.sentence.startswith("Enter how many of Trichoptera are expected at Mire")


class TestTheWayHome:
    def test_a_permit_that_ends_before_it_leaves(self, plan: FieldPlan) -> None:
        """Export permits have days of their own: held against the day of export, not of taking."""
        r.rule(CountrySheet.objects.get(country="SE"), Layer.EXPORT)
        permit(plan)
        permit(
            plan, {"in_force_from": "2027-06-01", "in_force_to": "2027-07-31"}, reference="EXP-1", kind="export-permit",
            layers=["export"],
        )  # fmt: skip
        f.stop(plan, name="Mire")
        home = f.way_home(plan, from_country="SE", to_country="GE", exported_on="2027-08-05")
        (one,) = advice(plan, "leaves-late")
        assert one.by_day == day("2027-07-31")
        assert one.layers == (Layer.EXPORT,)
        assert one.sentence == (
            "Send what comes from Mire by 31 July 2027, the last day that EXP-1 covers; it is planned to go on "
            "5 August 2027."
        )
        home.exported_on = "2027-07-31"
        home.save()
        assert verdict(plan, Layer.EXPORT) == Verdict.COVERED

    def test_days_in_the_wrong_order(self, plan: FieldPlan) -> None:
        permit(plan)
        f.stop(plan, name="Mire", last_on=day("2027-06-05"))
        f.way_home(plan, exported_on="2027-06-04", imported_on="2027-06-03")
        found = {one.code: one.sentence for one in advice(plan)}
        assert found["export-early"] == (
            "Export is planned for 4 June 2027, before the last day in the field at Mire (5 June 2027)."
        )
        assert found["import-early"] == "Arrival is planned for 3 June 2027, before it leaves on 4 June 2027."


def test_an_unread_paper(plan: FieldPlan) -> None:
    paper = permit(plan, reference="COL-9")
    paper.versions.all().delete()
    f.stop(plan, name="Mire")
    (one,) = advice(plan)
    assert one.code == "unread"
    assert one.sentence == "COL-9 is on file without its terms. Enter them, so that Mire can be held against it."
    assert one.deed is not None
    assert (one.deed.kind, one.deed.key) == ("terms", paper.pk)


class TestNotices:
    """Notice a week before entry (Virginia natural areas); 30 days (US Forest Service paleontology form)."""

    ASKS = {**JUNE, "conditions": [{"text": "The warden is told a week before.", "notice_days": 7}]}

    def test_due_a_week_before_the_first_day(self, plan: FieldPlan) -> None:
        """First day 3 June, 7 days before: 27 May."""
        paper = permit(plan, self.ASKS)
        f.stop(plan, name="Mire")
        (one,) = advice(plan)
        assert (one.code, one.by_day, one.is_late) == ("notice-due", day("2027-05-27"), False)
        assert one.sentence == (
            "Tell County of Jämtland of Mire by 27 May 2027: COL-1 asks for notice 7 days before the first day "
            "(3 June 2027)."
        )
        assert one.secret == {paper.pk}

    def test_one_notice_for_all_stops_due_for_the_earliest(self, plan: FieldPlan) -> None:
        permit(plan, self.ASKS)
        f.stop(plan, name="Later", first_on=day("2027-06-20"), last_on=day("2027-06-21"))
        f.stop(plan, name="First", first_on=day("2027-06-10"), last_on=day("2027-06-11"))
        (one,) = advice(plan)
        assert one.by_day == day("2027-06-03")
        assert one.stop_names == ("Later", "First")

    def test_late_once_the_day_is_past(self, plan: FieldPlan) -> None:
        """200 days before 3 June 2027: 3 in June (to 31 May), 31 in May, 30, 31, 28, 31 to 31 December are 154; 31 more
        are 30 November, 15 more 15 November 2026."""
        permit(plan, {**JUNE, "conditions": [{"text": "Long before.", "notice_days": 200}]})
        f.stop(plan)
        (one,) = advice(plan)
        assert (one.by_day, one.is_late) == (day("2026-11-15"), True)
        assert "none is recorded" in one.sentence

    @pytest.mark.parametrize(("given", "words"), [
        ("2026-11-20", "in time (due 27 May 2027)"), ("2027-05-30", "3 days after the day it was due (27 May 2027)"),
    ])  # fmt: skip
    def test_given(self, plan: FieldPlan, given: str, words: str) -> None:
        paper = permit(plan, self.ASKS)
        f.stop(plan)
        PlanNotice.objects.create(plan=plan, paper=paper, given_on=day(given), note="the warden, by letter")
        (one,) = advice(plan)
        assert (one.code, one.is_settled) == ("notice-given", True)
        assert words in one.sentence

    def test_a_day_that_is_not_fixed(self, plan: FieldPlan) -> None:
        permit(plan, self.ASKS)
        f.stop(plan, first_on=None, last_on=None)
        (one,) = advice(plan)
        assert (one.code, one.by_day) == ("notice-due", None)
        assert "which is not fixed yet" in one.sentence

    def test_the_version_in_force_on_the_day_asks(self, plan: FieldPlan) -> None:
        """An older version asked, that of June no longer does."""
        old = {"in_force_from": "2026-01-01", "conditions": self.ASKS["conditions"]}
        permit(plan, old, JUNE)
        f.stop(plan)
        assert advice(plan) == []


class TestReports:
    """Yearly reports: 31 January (New Hampshire; England CL23). Renewal refused until last year's report is in
    (Washington State)."""

    ASKS = {"in_force_from": "2026-03-01", "in_force_to": "2027-12-31",
            "conditions": [{"text": "A list each year.", "report_by": "01-31"}]}  # fmt: skip

    def test_due_before_the_first_day(self, plan: FieldPlan) -> None:
        permit(plan, self.ASKS)
        f.stop(plan)
        (one,) = advice(plan)
        assert (one.code, one.by_day) == ("report-due", day("2027-01-31"))
        assert one.sentence == (
            "COL-1 asks for a report by 31 January 2027. Whether it was sent is not recorded here. Authorities often "
            "hold back a renewal until it is in: check before you ask."
        )

    def test_a_paper_that_begins_after_asks_for_none_yet(self, plan: FieldPlan) -> None:
        permit(plan, {**self.ASKS, "in_force_from": "2027-03-01"})
        f.stop(plan)
        assert advice(plan) == []

    @pytest.mark.parametrize(("start", "asked"), [("2027-01-01", False), ("2026-12-31", True)])
    def test_a_report_of_january_is_about_the_year_before(self, plan: FieldPlan, start: str, asked: bool) -> None:
        """A permit that began on 1 January 2027 has nothing to report on 31 January; its first report is a year off."""
        permit(plan, {**self.ASKS, "in_force_from": start})
        f.stop(plan)
        assert bool(advice(plan)) is asked

    def test_an_earlier_paper_of_the_same_issuer_and_kind(self, plan: FieldPlan) -> None:
        """In force until May 2026: its report of 2026 is due on 31 January 2027."""
        permit(plan)
        f.stop(plan)
        old = {**self.ASKS, "in_force_from": "2025-05-01", "in_force_to": "2026-05-01"}
        fields = {"issuer": "county of  jämtland", "versions": [old]}
        actions.register(data=paper_object("COL-0", **fields), by=r.person(Role.REGISTRAR), why="x")
        actions.register(
            data=paper_object("COL-X", issuer="Another", versions=[old]), by=r.person(Role.REGISTRAR), why="x"
        )
        assert [one.papers[0].reference for one in advice(plan)] == ["COL-0"]

    def test_a_paper_that_this_one_continues(self, plan: FieldPlan) -> None:
        paper = permit(plan)
        f.stop(plan)
        old = actions.register(
            data=paper_object("COL-0", issuer="Another", versions=[self.ASKS]), by=r.person(Role.REGISTRAR), why="x"
        )
        PaperContinuation.objects.create(earlier=old, later=paper)
        assert [one.papers[0].reference for one in advice(plan)] == ["COL-0"]

    def test_a_day_that_passed_this_year(self, plan: FieldPlan) -> None:
        """In force to December 2025: of the days of January that of 2026 is the last that falls to it; today is in
        November."""
        permit(plan)
        f.stop(plan)
        old = {**self.ASKS, "in_force_from": "2024-03-01", "in_force_to": "2025-12-10"}
        actions.register(
            data=paper_object("COL-0", issuer="County of Jämtland", versions=[old]),
            by=r.person(Role.REGISTRAR),
            why="x",
        )
        (one,) = advice(plan)
        assert one.by_day is None
        assert one.sentence.startswith("COL-0 asked for a report by 31 January 2026.")


def test_days_come_first_then_layers(plan: FieldPlan) -> None:
    permit(
        plan, {**JUNE, "methods": {"exclude": ["light trap"]}, "conditions": [{"text": "Tell us.", "notice_days": 7}]}
    )
    f.stop(plan, methods="hand net | light trap")
    assert [one.code for one in advice(plan)] == ["notice-due", "method"]


def test_the_same_advice_for_several_stops_is_said_once(plan: FieldPlan) -> None:
    permit(plan, {**JUNE, "people": {"named": ["J. Ek"]}})
    for name in ("A", "B", "C", "D", "E"):
        f.stop(plan, name=name, people="J. Ek | S. Aldrin")
    (one,) = advice(plan)
    assert len(one.stops) == 5
    assert "A, B, C and 2 more would be covered" in one.sentence
