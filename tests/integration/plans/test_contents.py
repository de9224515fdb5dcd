"""The contents of a plan hold all that may be edited: a field that is forgotten would change without a version."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest
from django.db import models

from governance.engine.tables import Layer
from governance.plans.models import Consignment, FieldPlan, PlanDecision, Stop, StopTarget, StopTrap
from governance.plans.queries.contents import contents
from governance.plans.queries.differences import differences
from tests.factories.plans import attach, field_plan, stop, target, trap, way_home
from tests.factories.register import paper, person, site

pytestmark = pytest.mark.django_db

AREA = json.dumps({"type": "Polygon", "coordinates": [[[15, 62], [15.1, 62], [15.1, 62.1], [15, 62]]]})

OTHER: dict[type[models.Model], dict[str, Any]] = {
    FieldPlan: {
        "reference": "FP-OTHER", "title": "Other", "leader": "M. Lind", "language": "fr", "uses": ["sequencing"],
        "contacts": "112", "remarks": "Other",
    },
    Stop: {
        "position": 99, "name": "Other", "site": None, "country": "NO", "longitude_deg": 16.5, "latitude_deg": 60.5,
        "radius_m": 5.0, "area": AREA, "first_on": date(2027, 6, 1), "last_on": date(2027, 6, 9), "methods": "dredge",
        "people": "M. Lind", "consignment": None, "remarks": "Other",
    },
    StopTarget: {
        "position": 99, "name": "Odonata", "kingdom": "Animalia", "rank": "order", "higher": "Insecta", "expected": "7",
    },
    StopTrap: {
        "position": 99, "method": "Window trap", "number": 4, "first_on": date(2027, 6, 1), "last_on": date(2027, 7, 1),
    },
    Consignment: {
        "position": 99, "from_country": "NO", "to_country": "DK", "exported_on": "2027-08-01",
        "imported_on": "2027-08-02", "transferred_on": "2027-08-03", "carrier": "by hand", "cites": "none",
    },
}  # fmt: skip
"""Another value for every field that may be edited. A new field needs a value here, and a place in the contents."""

OWNERS = {"id", "plan", "stop"}
"""Whose row it is: rows do not move from one owner to another."""


def full_plan() -> FieldPlan:
    """Two of everything, so that an order can change."""
    plan = field_plan(title="Full plan")
    home = way_home(plan, position=1, from_country="SE", to_country="GE")
    way_home(plan, position=2, from_country="GE", to_country="SE")
    first = stop(plan, name="First", position=1, site=site("SE-1", name="Fen", country="SE"), consignment=home)
    for number, group in enumerate(("Trichoptera", "Ephemeroptera"), start=1):
        target(first, group, position=number)
    for number, method in enumerate(("Malaise trap", "Pitfall trap"), start=1):
        trap(first, method=method, position=number)
    stop(plan, name="Second", position=2)
    return plan


def editable(model: type[models.Model]) -> list[str]:
    names = [field.name for field in model._meta.concrete_fields if field.editable]
    return [name for name in names if name not in OWNERS]


@pytest.mark.parametrize(
    ("model", "name"), [(model, name) for model in OTHER for name in editable(model)], ids=lambda one: str(one)
)
def test_every_field_that_may_be_edited_is_in_the_contents_and_told(model: type[models.Model], name: str) -> None:
    assert name in OTHER[model], f"{model.__name__}.{name} is new: write it in queries/contents.py, and here a value"
    plan = full_plan()
    before = contents(plan)
    first = model._default_manager.order_by("pk").first()
    assert first is not None

    setattr(first, name, OTHER[model][name])
    first.save()
    after = contents(plan)

    assert after != before
    assert differences(before, after), "it differs, and no word says so"


def test_papers_and_decisions_that_stand_are_in_it_and_those_that_ended_are_not() -> None:
    plan, by = full_plan(), person("registrar")
    first = plan.stops.order_by("pk")[0]
    attach(plan, paper("COL-1"), by)
    attach(plan, paper("COL-2"), by, stop=first)
    decision = PlanDecision.objects.create(
        plan=plan, layer=int(Layer.PROTECTED_SITE), reason="Not protected.", evidence="Map", decided_by=by
    )
    before = contents(plan)

    assert [(row["reference"], row["stop"]) for row in before["papers"]] == [("COL-1", None), ("COL-2", first.pk)]
    assert [(row["layer"], row["reason"]) for row in before["decisions"]] == [(3, "Not protected.")]

    ended = {"at": "2027-01-01T00:00Z", "by": by}
    plan.plan_papers.update(unlinked_at=ended["at"], unlinked_by=ended["by"])
    PlanDecision.objects.filter(pk=decision.pk).update(withdrawn_at=ended["at"], withdrawn_by=ended["by"])
    assert contents(plan)["papers"] == contents(plan)["decisions"] == []


def test_it_is_plain_json_and_comes_back_as_it_was() -> None:
    kept = contents(full_plan())

    assert json.loads(json.dumps(kept)) == kept
    assert kept["stops"][0]["first_on"] == "2027-06-03"


def test_uses_are_in_the_order_of_the_choices() -> None:
    """Ticked in another order they are the same uses."""
    one, other = (field_plan(uses=uses) for uses in (["sequencing", "morphology"], ["morphology", "sequencing"]))

    assert contents(one)["uses"] == contents(other)["uses"] == ["morphology", "sequencing"]


def test_it_is_read_from_the_database_and_not_from_the_object() -> None:
    plan = full_plan()
    plan.title = "Not saved"

    assert contents(plan)["title"] == "Full plan"


@pytest.mark.parametrize("stops", [1, 30])
def test_it_takes_as_many_queries_for_many_stops(stops: int, django_assert_num_queries: Any) -> None:
    """The plan, its stops, their groups, their traps, ways home, papers, decisions."""
    plan = field_plan()
    for _number in range(stops):
        trap(made := stop(plan))
        target(made)

    with django_assert_num_queries(7):
        contents(plan)
