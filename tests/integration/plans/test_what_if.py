"""What a change would do to the check: it must say what the check says once the change is saved, and leave nothing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.template.loader import render_to_string
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from governance.engine.tables import Layer, Verdict
from governance.papers.models import VersionWord
from governance.plans.actions.locking import PlanError
from governance.plans.actions.what_if import what_if
from governance.plans.models import FieldPlan, Stop
from governance.plans.queries.check import CheckedCell, PlanCheck, check_plan
from tests.factories.plans import attach, field_plan, stop, target, trap, way_home
from tests.factories.register import paper, person, rule, sheet, version

TODAY = date(2026, 11, 26)
LAST = date(2027, 6, 30)


def small_plan() -> FieldPlan:
    """Three stops in Sweden, which requires a collecting permit; the permit holds in June 2027, for a hand net alone.

    The first lies within the month; the second runs on into July; the third has no day yet.
    """
    rule(sheet("SE"), Layer.COLLECTING, lead_days=90)
    permit = paper("COL-2027-001", jurisdiction="SE")
    VersionWord.objects.create(version=version(permit, "2027-06-01", "2027-06-30"), subject="methods", word="hand net")
    plan = field_plan(title="Small plan")
    attach(plan, permit, person("curator"))
    target(stop(plan, name="Within", position=1), expected="5")
    trap(stop(plan, name="Beyond", position=2, first_on=date(2027, 6, 28), last_on=date(2027, 7, 2)), method="hand net")
    stop(plan, name="Open", position=3, first_on=None, last_on=None)
    way_home(plan, from_country="SE", to_country="GE", exported_on="2027-07-05")
    return plan


def verdict_cell(check: PlanCheck, name: str, layer: Layer = Layer.COLLECTING) -> CheckedCell:
    return next(cell for cell in check.cells.values() if cell.stop.stop.name == name and cell.layer == layer)


def verdict(check: PlanCheck, name: str) -> Verdict:
    return verdict_cell(check, name).verdict


def set_on(plan: FieldPlan, name: str, **values: Any) -> Callable[[], object]:
    return lambda: Stop.objects.filter(plan=plan, name=name).update(**values)


@pytest.mark.django_db
class TestSmallPlan:
    def test_a_stop_moved_into_the_paper_is_covered(self) -> None:
        plan = small_plan()
        Stop.objects.get(name="Beyond").traps.all().delete()

        found = what_if(plan, set_on(plan, "Beyond", last_on=date(2027, 6, 30)), today=TODAY)

        collecting = [cell for cell in found.changed if cell.layer == Layer.COLLECTING]
        assert [(c.stop, c.before.word, c.after.word) for c in collecting if c.before and c.after] == [
            ("Beyond", "Straddles", "Covered")
        ]
        assert found.settled == 1 and found.all_covered and not found.is_worse
        assert found.open_before - found.open_after == 1

    def test_a_stop_moved_out_is_worse_and_a_need_comes_with_its_day(self) -> None:
        """Needed on 3 July 2027, 90 days before that is 4 April: July 3, less 3 is June 30, less 30 May 31, less 31
        April 30, less 26 more (90 - 64) April 4."""
        plan = small_plan()

        found = what_if(plan, set_on(plan, "Within", first_on=date(2027, 7, 3), last_on=date(2027, 7, 4)), today=TODAY)

        assert verdict(found.before, "Within") == Verdict.COVERED
        assert found.changed[0].is_worse and found.come_up == 1 and found.is_worse
        new = [need for need in found.needs_new if need.layer == Layer.COLLECTING]
        assert [need.start_by for need in new] == [date(2027, 4, 4)]

    def test_a_stop_that_is_removed_vanishes_with_all_layers(self) -> None:
        plan = small_plan()

        found = what_if(plan, lambda: Stop.objects.get(name="Open").delete(), today=TODAY)

        gone = [cell for cell in found.changed if cell.after is None]
        assert {cell.stop for cell in gone} == {"Open"} and len(gone) == len(Layer)
        assert found.stops_gone == ("Open",) and found.stops_new == ()
        assert not any(cell.is_worse or cell.is_settled for cell in gone)

    def test_a_new_stop_appears(self) -> None:
        plan = small_plan()

        found = what_if(plan, lambda: stop(plan, name="New", first_on=None, last_on=None), today=TODAY)

        assert found.stops_new == ("New",)
        assert [c.before for c in found.changed if c.stop == "New"] == [None] * len(Layer)
        assert found.come_up >= 1

    def test_nothing_differs(self) -> None:
        plan = small_plan()

        found = what_if(plan, set_on(plan, "Within", remarks="bring waders"), today=TODAY)

        assert found.is_empty and found.open_before == found.open_after
        assert "The check would say the same" in render_to_string("plans/_what_if.html", {"what_if": found})

    def test_a_need_that_moves_keeps_its_place(self) -> None:
        """The same gap, a day later: one need that moves, none that comes or goes."""
        plan = small_plan()
        first = date(2027, 7, 10)
        Stop.objects.filter(name="Within").update(first_on=first, last_on=first)

        found = what_if(plan, set_on(plan, "Within", first_on=first + timedelta(1), last_on=first + timedelta(1)),
                        today=TODAY)  # fmt: skip

        moved = [m for m in found.needs_moved if m.before.verdict == Verdict.OUTSIDE]
        assert [(m.before.needed_on, m.after.needed_on) for m in moved] == [(first, first + timedelta(1))]
        assert not found.changed and not found.is_empty

    def test_what_comes_too_late_is_said(self) -> None:
        """90 days before 3 July 2027 is 4 April; on 1 June that has passed, whatever the verdicts say."""
        plan = small_plan()
        Stop.objects.filter(name="Within").update(first_on=date(2027, 9, 1), last_on=date(2027, 9, 1))

        found = what_if(plan, set_on(plan, "Within", first_on=date(2027, 7, 3), last_on=date(2027, 7, 4)),
                        today=date(2027, 6, 1))  # fmt: skip

        assert not found.changed and found.late == 1 and found.is_worse
        page = render_to_string("plans/_what_if.html", {"what_if": found})
        assert "For 1 thing to settle the day to start would have passed." in page and "which has passed" in page

    def test_a_margin_that_shrinks_is_not_the_same(self) -> None:
        """The stop stays covered, to the very last day of the paper: from 25 days (5 to 30 June) to none."""
        plan = small_plan()

        found = what_if(plan, set_on(plan, "Within", last_on=LAST), today=TODAY)

        assert found.reasons_changed == 1 and not found.changed and not found.is_empty
        margins = [verdict_cell(check, "Within").margin_days for check in (found.before, found.after)]
        assert margins == [25, 0]

    def test_a_change_that_is_refused_says_so(self) -> None:
        plan = small_plan()

        def refuse() -> None:
            raise PlanError("not now")

        with pytest.raises(PlanError, match="not now"):
            what_if(plan, refuse, today=TODAY)
        with pytest.raises(ValidationError):
            what_if(plan, lambda: Stop(plan=plan, name="").full_clean(), today=TODAY)

    def test_the_words_name_cells_and_days(self) -> None:
        plan = small_plan()

        found = what_if(plan, set_on(plan, "Within", first_on=date(2027, 7, 3), last_on=date(2027, 7, 4)), today=TODAY)
        page = render_to_string("plans/_what_if.html", {"what_if": found})

        assert "1 cell would need a look." in page
        assert "To settle besides." in page and "4 Apr 2027" in page
        assert f"{found.open_before} → {found.open_after}" in page


DAYS = st.none() | st.dates(date(2027, 5, 25), date(2027, 7, 6))
CHANGES = st.fixed_dictionaries({
    "name": st.sampled_from(["Within", "Beyond", "Open"]),
    "days": st.tuples(DAYS, DAYS).map(lambda pair: pair if None in pair else tuple(sorted(pair))),  # type: ignore[type-var]
    "methods": st.sampled_from(["", "hand net", "light trap", "hand net | light trap"]),
    "people": st.sampled_from(["", "J. Ek", "J. Ek | M. Lind"]),
    "country": st.sampled_from(["", "SE", "GE"]),
    "kind": st.sampled_from(["edit", "remove", "add"]),
})  # fmt: skip


class TestGenerated(TestCase):
    """Generated changes: tried, then really saved. What was tried must be what is found then."""

    @given(CHANGES)
    @settings(max_examples=12, suppress_health_check=[HealthCheck.differing_executors])
    def test_it_says_what_the_check_says_after_saving(self, change: dict[str, Any]) -> None:
        plan = small_plan()
        act = _act(plan, change)
        stood = check_plan(plan, today=TODAY)

        found = what_if(plan, act, today=TODAY)

        assert told(check_plan(plan, today=TODAY)) == told(found.before) == told(stood), "nothing of it stays"
        act()
        assert told(found.after) == told(check_plan(plan, today=TODAY))


def _act(plan: FieldPlan, change: dict[str, Any]) -> Callable[[], object]:
    first, last = change["days"]
    values = {"first_on": first, "last_on": last, **{key: change[key] for key in ("methods", "people", "country")}}
    if change["kind"] == "remove":
        return lambda: Stop.objects.filter(plan=plan, name=change["name"]).delete()
    if change["kind"] == "add":
        return lambda: stop(plan, name="New", **values)
    return set_on(plan, change["name"], **values)


def told(check: PlanCheck) -> object:
    """All that a check says, by the names of stops: a stop that is added twice has another key."""
    cells = {
        (cell.stop.stop.name, cell.layer): (cell.verdict, cell.papers, cell.reasons, cell.margin_days)
        for cell in check.cells.values()
    }
    needs = [
        (need.layer, need.verdict, need.lead, need.needed_on, need.start_by, need.is_late,
         sorted(one.stop.name for one in need.stops))
        for need in check.needs
    ]  # fmt: skip
    return cells, needs, check.open_cells
