"""The page of one cell: what was compared at one stop on one layer, and what would settle it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.papers import actions as paper_actions
from governance.plans.models import FieldPlan, Stop
from tests.factories import plans as f
from tests.factories import register as r
from tests.factories.paper_objects import paper_object
from tests.integration.plans.test_plan_page import client_of, words

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: date(2026, 11, 26))


@pytest.fixture
def stop() -> Stop:
    """Two methods and one group, from 3 to 5 June 2027; the paper allows one of the methods."""
    r.rule(r.sheet("SE", authority="Sundvik Nature Office", contact="desk 4"), Layer.COLLECTING, lead_days=90)
    plan = f.field_plan()
    made = f.stop(plan, methods="hand net | dredge")
    f.target(made)
    versions = [{"in_force_from": "2027-06-01", "in_force_to": "2027-06-30", "methods": {"include": ["hand net"]}}]
    data = paper_object("COL-1", jurisdiction="SE", versions=versions)
    paper = paper_actions.register(data=data, by=r.person(Role.REGISTRAR), why="from the scan")
    f.attach(plan, paper, r.person())
    return made


def cell_page(stop: Stop, layer: str = "collecting", client: Client | None = None) -> Any:
    address = reverse("plans:plan-cell", args=[stop.plan_id, stop.pk, layer])
    return (client or client_of(Role.REGISTRAR)).get(address)


def test_rows_of_one_answer_stand_together(stop: Stop) -> None:
    """The dredge is outside, the net is covered: two groups, the worse first."""
    text = words(cell_page(stop).content.decode())
    assert text.index("dredge; Trichoptera") < text.index("hand net; Trichoptera")
    assert "Outside terms. " in text
    assert "To settle it: use a method that the paper allows, or have the method added." in text
    assert "v1, Jun 2027" in text


def test_says_what_to_start_and_whom_to_ask(stop: Stop) -> None:
    """3 June less 90 days is 5 March 2027."""
    text = words(cell_page(stop).content.decode())
    assert "Start by 5 Mar 2027" in text
    assert "Ask Sundvik Nature Office." in text
    assert "desk 4" in text
    assert "the authority decides" in text


def test_decision_stands_beside_the_cell(stop: Stop) -> None:
    f.decision(stop.plan, Layer.LAND, stop=stop)
    text = words(cell_page(stop, "land").content.decode())
    assert "A person decided that no paper is required." in text
    assert "land register, folio 12" in text
    assert "Decide that none is needed" not in text


def test_ways_on_only_for_those_who_may(stop: Stop) -> None:
    attach = reverse("plans:plan-attach", args=[stop.plan_id])
    decide = reverse("plans:plan-decide", args=[stop.plan_id, "collecting"])
    registrar = cell_page(stop).content.decode()
    auditor = cell_page(stop, client=client_of(Role.AUDITOR)).content.decode()
    assert attach in registrar and decide in registrar
    assert attach not in auditor and decide not in auditor


def test_stop_of_another_plan_or_a_word_that_is_no_layer(stop: Stop) -> None:
    other: FieldPlan = f.field_plan()
    client = client_of(Role.REGISTRAR)
    assert client.get(reverse("plans:plan-cell", args=[other.pk, stop.pk, "land"])).status_code == 404
    assert cell_page(stop, "moon").status_code == 404
    assert client.post(reverse("plans:plan-cell", args=[stop.plan_id, stop.pk, "land"])).status_code == 405


def test_queries_are_the_same_for_a_long_plan(stop: Stop, django_assert_num_queries: Any) -> None:
    client = client_of(Role.REGISTRAR)
    cell_page(stop, client=client)
    with CaptureQueriesContext(connection) as few:
        cell_page(stop, client=client)
    for number in range(8):
        f.target(f.stop(stop.plan, position=number + 1))
    with django_assert_num_queries(len(few)):
        cell_page(stop, client=client)
