"""Changes made on the page of a plan without loading it anew, and that its parts say what they say by themselves."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.plans.actions.stops import edit_stop
from governance.plans.advice import advise
from governance.plans.advice.trials import Proposal, judged, trial
from governance.plans.models import FieldPlan, PlanDecision, PlanPaper, Stop
from governance.plans.queries.cap_use import cap_uses
from governance.plans.queries.check import check_plan
from governance.plans.queries.matrix import Only, matrix_of
from governance.plans.queries.need_lines import need_lines
from tests.bench.plan_world import fill
from tests.factories import plans as f
from tests.factories import register as r
from tests.integration.plans.test_plan_page import cell, client_of, permit, words

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 26)
PARTS = ("matrix", "needs", "advice", "papers", "signed")
REASON, EVIDENCE = "The land is the museum’s own.", "land register, folio 12"


@pytest.fixture(autouse=True)
def today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: TODAY)


@pytest.fixture
def plan() -> FieldPlan:
    """Two stops in Sweden, whose sheet requires a collecting permit, for 3 to 5 June 2027."""
    r.rule(r.sheet("SE"), Layer.COLLECTING, lead_days=90)
    made = f.field_plan()
    f.target(f.stop(made, name="Upper brook"))
    f.target(f.stop(made, name="Lower brook", position=1))
    return made


def send(client: Client, address: str, **told: Any) -> HttpResponse:
    """As the script of the page sends it."""
    return client.post(address, told, headers={"hx-request": "true"})  # type: ignore[return-value]


def parts_of(answer: HttpResponse) -> str:
    """The text of an answer that holds every part, and is no page."""
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "<html" not in text
    assert [part for part in PARTS if f'id="{part}"' not in text] == []
    assert 'id="plan-answer" hx-swap-oob="true"' in text
    return text


def said(text: str) -> str:
    """What the live region is given to say; its element stays, so that it is heard."""
    found = re.search(r'id="plan-said"[^>]*hx-swap-oob="innerHTML">(.*?)\n', text, re.DOTALL)
    assert found
    return words(found[1])


def test_paper_taken_off_in_place(plan: FieldPlan) -> None:
    permit(plan)
    row, client = PlanPaper.objects.get(), client_of(Role.CURATOR)
    text = parts_of(send(client, reverse("plans:plan-paper-take-off", args=[row.pk]), why="replaced"))
    assert said(text) == "COL-1 is taken off; the check was made again."
    assert "No paper on file" in cell(text, plan.stops.get(name="Upper brook"), "collecting")


def test_decision_made_and_withdrawn_in_place(plan: FieldPlan) -> None:
    client, stop = client_of(Role.REGISTRAR), plan.stops.get(name="Upper brook")
    decide = reverse("plans:plan-decide", args=[plan.pk, "collecting"])
    text = parts_of(send(client, decide, stop=stop.pk, reason=REASON, evidence=EVIDENCE))
    assert "Not required" in cell(text, stop, "collecting")
    assert "No paper on file" in cell(text, plan.stops.get(name="Lower brook"), "collecting")
    withdraw = reverse("plans:plan-decision-withdraw", args=[PlanDecision.objects.get().pk])
    text = parts_of(send(client, withdraw, reason="The land was sold in May."))
    assert said(text) == "Collecting: the decision is withdrawn; the check was made again."
    assert "No paper on file" in cell(text, stop, "collecting")


def test_days_changed_from_the_matrix(plan: FieldPlan) -> None:
    """The permit ends on 8 June: a day later the stop is no longer covered."""
    permit(plan)
    stop, client = plan.stops.get(name="Upper brook"), client_of(Role.CURATOR)
    assert (
        reverse("plans:stop-days", args=[stop.pk]) in client.get(reverse("plans:plan", args=[plan.pk])).content.decode()
    )
    address = reverse("plans:stop-days", args=[stop.pk])
    text = parts_of(send(client, address, first_on="2027-06-09", last_on="2027-06-09"))
    assert said(text) == "The days of Upper brook were saved; the check was made again."
    assert "Outside terms" in cell(text, stop, "collecting")
    assert "Covered" in cell(text, plan.stops.get(name="Lower brook"), "collecting")
    stop.refresh_from_db()
    assert (stop.first_on, stop.last_on, stop.methods) == (date(2027, 6, 9), date(2027, 6, 9), "hand net")
    assert plan.versions.get().why == "days"


def test_choice_of_stops_stays(plan: FieldPlan) -> None:
    """The filter of the matrix is sent along; the second stop has no gap in the layer that it asks for."""
    client, lower = client_of(Role.REGISTRAR), plan.stops.get(name="Lower brook")
    f.decision(plan, Layer.COLLECTING, stop=lower)
    address = reverse("plans:stop-days", args=[lower.pk])
    told = {"first_on": "2027-06-03", "last_on": "2027-06-06", "only": "gaps", "layer": "collecting"}
    text = parts_of(send(client, address, **told))
    assert re.findall(r'<span class="mx-name">\d+\. (.*?)</span>', text) == ["Upper brook"]


@pytest.mark.parametrize("in_place", [True, False], ids=["in place", "without script"])
def test_what_is_refused_stays_in_its_form(plan: FieldPlan, in_place: bool) -> None:
    """In place the form goes back to the dialog, with a status that the script takes; nothing is saved."""
    stop, client = plan.stops.get(name="Upper brook"), client_of(Role.CURATOR)
    address, told = reverse("plans:stop-days", args=[stop.pk]), {"first_on": "2027-06-09", "last_on": "2027-06-01"}
    answer = send(client, address, **told) if in_place else client.post(address, told)
    assert answer.status_code == (200 if in_place else 422)
    assert (answer.get("HX-Retarget"), answer.get("HX-Reselect")) == (
        ("#in-place", "#in-place-form") if in_place else (None, None)
    )
    assert "form-errors" in answer.content.decode()
    stop.refresh_from_db()
    assert stop.last_on == date(2027, 6, 5)
    assert not plan.versions.exists()


def test_without_script_each_change_goes_back_to_the_plan(plan: FieldPlan) -> None:
    stop, client = plan.stops.get(name="Upper brook"), client_of(Role.CURATOR)
    answer = client.post(reverse("plans:stop-days", args=[stop.pk]), {"first_on": "", "last_on": ""})
    assert (answer.status_code, answer["Location"]) == (302, reverse("plans:plan", args=[plan.pk]))
    stop.refresh_from_db()
    assert (stop.first_on, stop.last_on) == (None, None)


def test_who_looked_at_older_days_is_told(plan: FieldPlan) -> None:
    stop = plan.stops.get(name="Upper brook")
    for day in (10, 11):
        edit_stop(stop=stop, values={"last_on": date(2027, 6, day)}, by=r.person(), why="earlier")
    answer = send(client_of(Role.CURATOR), reverse("plans:stop-days", args=[stop.pk]), last_on="2027-06-06", seen=1)
    assert "changed this plan meanwhile" in answer.content.decode()
    stop.refresh_from_db()
    assert stop.last_on == date(2027, 6, 11)


@pytest.mark.parametrize("role", [Role.AUDITOR, Role.VOLUNTEER])
def test_days_only_for_those_who_plan(plan: FieldPlan, role: str) -> None:
    stop, client = plan.stops.get(name="Upper brook"), client_of(role)
    assert send(client, reverse("plans:stop-days", args=[stop.pk]), last_on="2027-06-06").status_code == 403
    assert f'id="days-{stop.pk}"' not in client.get(reverse("plans:plan", args=[plan.pk])).content.decode()


@pytest.mark.parametrize("row", ["plans:plan-paper-take-off", "plans:stop-days", "plans:plan-decide"])
def test_page_holds_the_part_that_the_dialog_shows(plan: FieldPlan, row: str) -> None:
    permit(plan)
    args = {
        "plans:plan-paper-take-off": [PlanPaper.objects.get().pk], "plans:stop-days": [Stop.objects.first().pk],  # type: ignore[union-attr]
        "plans:plan-decide": [plan.pk, "land"],
    }[row]  # fmt: skip
    text = client_of(Role.REGISTRAR).get(reverse(row, args=args)).content.decode()
    part = text.split('id="in-place-form"')[1]
    assert "<form" in part
    assert 'hx-target="#checked"' in part


@pytest.fixture
def world() -> FieldPlan:
    """Six stops, twelve papers with areas, caps, people and methods, many cells open."""
    return fill(6, 12)


def test_parts_of_the_page_say_what_they_say_by_themselves(world: FieldPlan) -> None:
    """The page shares one check; each part of it equals the one made from a check of its own."""
    context = client_of(Role.CURATOR).get(reverse("plans:plan", args=[world.pk])).context
    fresh = lambda: check_plan(world, today=TODAY)  # noqa: E731
    assert context["check"].cells == fresh().cells
    assert context["advice"] == advise(fresh())
    assert context["advice"]
    assert list(context["caps"]) == list(cap_uses(fresh()))
    assert context["caps"]
    one, other = context["matrix"], matrix_of(fresh(), Only())
    shown = [[(cell.key, cell.cell, cell.lines()) for cell in row.cells] for row in one.rows]
    assert shown == [[(cell.key, cell.cell, cell.lines()) for cell in row.cells] for row in other.rows]
    assert [line.heading for line in context["needs"]] == [line.heading for line in need_lines(fresh())]


def test_trials_of_many_layers_are_judged_as_of_one(world: FieldPlan) -> None:
    """A row that is proposed on several layers has on each the answer of the engine for that row there."""
    check = check_plan(world, today=TODAY)
    rows = [trial(row) for row in check.rows[:8]]
    layers = (Layer.LAND, Layer.SPECIES, Layer.ACCESS)
    proposals = [Proposal((row,), layer, lambda _answers: None) for row in rows for layer in layers]
    answer_of = judged(check, proposals)
    expected = check.bench.judge(rows, layers)
    for row, answers in zip(rows, expected, strict=True):
        for layer, answer in zip(layers, answers, strict=True):
            found = answer_of(row, layer)
            assert (found.verdict, found.codes, found.papers) == (answer.verdict, answer.codes, answer.papers)


def test_every_advice_of_a_long_plan_is_covered_by_itself(world: FieldPlan) -> None:
    """What was tried together holds when it is tried alone."""
    check = check_plan(world, today=TODAY)
    tried = [(one.layers, row) for one in advise(check) for row in one.tried]
    assert tried
    for layers, row in tried[:: max(len(tried) // 12, 1)]:
        answers = check.bench.judge([row], tuple(Layer))[0]
        assert any(answers[layer].verdict == 0 for layer in layers)


def test_parts_cost_no_query_a_stop(plan: FieldPlan) -> None:
    """The parts of two stops take as many queries as those of eight."""
    client, address = client_of(Role.CURATOR), reverse("plans:plan-matrix", args=[plan.pk])
    permit(plan)

    def count() -> int:
        with CaptureQueriesContext(connection) as asked:
            client.get(address, headers={"hx-request": "true"})
        return len(asked)

    count()
    few = count()
    assert few <= MOST_QUERIES
    for number in range(6):
        f.target(f.stop(plan, position=number + 2))
    assert count() == few


MOST_QUERIES = 55
