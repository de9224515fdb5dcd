"""The law of advice: what is advised is covered when it is done, as the check of the changed plan says it.

Small plans over small papers, so that every kind of advice comes up. What this cannot show: that all advice that could
be given is given; the cases of ``tests/integration/plans/test_advice.py`` show some of it.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.papers import actions
from governance.plans.advice import Advice, advise
from governance.plans.models import FieldPlan, Stop, StopTarget, StopTrap
from governance.plans.planned_rows import PlannedRow
from governance.plans.queries.check import PlanCheck, check_plan
from tests.factories import plans as f
from tests.factories import register as r
from tests.factories.paper_objects import paper_object

TODAY = date(2026, 11, 26)
JUNE = date(2027, 6, 1)
PEOPLE, METHODS, GROUPS = ("J. Ek", "M. Lind", "S. Aldrin"), ("hand net", "light trap"), ("Odonata", "Trichoptera")

days = st.integers(0, 29).map(lambda number: JUNE + timedelta(number))


def spans(longest: int) -> st.SearchStrategy[tuple[date, date]]:
    return st.builds(lambda first, more: (first, first + timedelta(more)), days, st.integers(0, longest))


@st.composite
def versions(draw: st.DrawFn) -> dict[str, Any]:
    first, last = draw(spans(30))
    told: dict[str, Any] = {"in_force_from": str(first), "in_force_to": str(last)}
    for key, value in (
        ("people", st.sampled_from([{"named": ["J. Ek"]}, {"named": ["J. Ek", "M. Lind"]}])),
        ("methods", st.sampled_from([{"include": ["hand net"]}, {"exclude": ["light trap"]}])),
        ("taxa", st.just({"include": ["Trichoptera"]})),
        ("closed_seasons", st.just([["06-10", "06-12"]])),
        ("places", st.sampled_from([500, 900]).map(
            lambda radius_m: {"include": [{"point": [15.3, 61.95], "radius_m": radius_m}]})),
        ("caps", st.sampled_from([10, 40]).map(lambda limit: [{"each": "together", "per": "paper", "limit": limit}])),
    ):  # fmt: skip
        if draw(st.integers(0, 3)) == 0:
            told[key] = draw(value)
    return told


@st.composite
def stops(draw: st.DrawFn) -> dict[str, Any]:
    first, last = draw(spans(12))
    return {
        "first_on": first, "last_on": last, "radius_m": draw(st.sampled_from([100, 600])),
        "longitude_deg": draw(st.sampled_from([15.3, 15.32])),
        "people": " | ".join(draw(st.lists(st.sampled_from(PEOPLE), unique=True, min_size=1))),
        "methods": " | ".join(draw(st.lists(st.sampled_from(METHODS), unique=True, min_size=1))),
        "trap": draw(st.none() | spans(20)),
        "groups": draw(st.lists(st.tuples(st.sampled_from(GROUPS), st.sampled_from(["", "5", "30"])), max_size=2,
                                unique_by=lambda group: group[0])),
    }  # fmt: skip


def made(papers: list[dict[str, Any]], planned: list[dict[str, Any]]) -> FieldPlan:
    r.rule(r.sheet("SE"), Layer.COLLECTING)
    plan, by = f.field_plan(), r.person(Role.REGISTRAR)
    for number, version in enumerate(papers):
        value = paper_object(f"COL-{number}", jurisdiction="SE", versions=[version])
        f.attach(plan, actions.register(data=value, by=by, why="a test"), by)
    for values in planned:
        trap, groups = values.pop("trap"), values.pop("groups")
        stop = f.stop(plan, **values)
        if trap:
            f.trap(stop, first_on=trap[0], last_on=trap[1])
        for name, expected in groups:
            f.target(stop, name, expected=expected)
    return plan


def done(row: PlannedRow) -> None:
    """Change the plan as the row of a trial says it."""
    place = dict(row.place)
    if row.trap:
        StopTrap.objects.filter(pk=row.trap).update(first_on=row.first_on, last_on=row.last_on, method=row.method)
    else:
        Stop.objects.filter(pk=row.stop).update(first_on=row.first_on, last_on=row.last_on, methods=row.method)
    Stop.objects.filter(pk=row.stop).update(
        people=row.people, longitude_deg=float(place["decimalLongitude"]),
        latitude_deg=float(place["decimalLatitude"]), radius_m=float(place["coordinateUncertaintyInMeters"]),
    )  # fmt: skip
    if row.target:
        StopTarget.objects.filter(pk=row.target).update(name=row.name)
    elif row.name:
        f.target(Stop.objects.get(pk=row.stop), row.name)


def same(row: PlannedRow, other: PlannedRow) -> bool:
    """Whether a row of the changed plan is that of the trial; a group that was named anew has a key of its own."""
    return (row.stop, row.trap, row.method) == (other.stop, other.trap, other.method) and (
        row.target in (None, other.target)
    )


def is_covered(check: PlanCheck, row: PlannedRow, layer: Layer) -> bool:
    answers = check.cells[row.stop, layer].answers
    return any(answer.verdict == Verdict.COVERED for answer in answers if same(row, answer.row))


class TestAdvice(TestCase):
    @settings(max_examples=15, suppress_health_check=list(HealthCheck))
    @given(st.lists(versions(), min_size=1, max_size=3), st.lists(stops(), min_size=1, max_size=2), st.randoms())
    def test_what_is_advised_is_covered_when_it_is_done(
        self, papers: list[dict[str, Any]], planned: list[dict[str, Any]], chance: Any
    ) -> None:
        plan = made(papers, planned)
        check = check_plan(plan, today=TODAY)
        tried = [one for one in advise(check) if one.tried]
        for one in tried:
            event(one.code)
            for row in one.tried:
                self.assert_alone(check, row, one)
        if tried:
            one = chance.choice(tried)
            row = chance.choice(one.tried)
            done(row)
            assert any(is_covered(check_plan(plan, today=TODAY), row, layer) for layer in one.layers), one.sentence

    def assert_alone(self, check: PlanCheck, row: PlannedRow, one: Advice) -> None:
        answers = check.bench.judge([row], one.layers)[0]
        assert any(answer.verdict == Verdict.COVERED for answer in answers), (one.sentence, answers)
