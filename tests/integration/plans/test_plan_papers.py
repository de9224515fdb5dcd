"""Papers linked to a plan and taken off, and decisions that a layer needs none: by their actions and pages."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.plans.actions.attaching import attach, take_off
from governance.plans.actions.decisions import decide, withdraw_decision
from governance.plans.actions.locking import PlanError
from governance.plans.models import FieldPlan, PlanDecision, PlanPaper
from governance.plans.queries.check import check_plan
from tests.factories import plans as f
from tests.factories import register as r
from tests.integration.plans.test_plan_page import client_of

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 26)
REASON, EVIDENCE = "The land is the museum’s own.", "land register, folio 12"


@pytest.fixture
def plan() -> FieldPlan:
    r.rule(r.sheet("SE"), Layer.COLLECTING)
    made = f.field_plan()
    for number in range(2):
        f.stop(made, position=number)
    return made


@pytest.fixture
def paper() -> Any:
    made = r.paper("COL-1", jurisdiction="SE")
    r.version(made, "2027-06-01", "2027-06-30")
    return made


def verdicts(plan: FieldPlan, layer: Layer = Layer.COLLECTING) -> list[Verdict]:
    check = check_plan(plan, today=TODAY)
    return [check.cells[one.stop.pk, layer].verdict for one in check.loaded.stops]


def test_paper_of_the_plan_speaks_at_every_stop(plan: FieldPlan, paper: Any) -> None:
    made = attach(plan=plan, paper=paper, by=r.person(), why="")
    assert verdicts(plan) == [Verdict.COVERED] * 2
    assert plan.versions.get().why == "COL-1 linked"
    take_off(plan_paper=made, by=r.person(), why="replaced")
    assert verdicts(plan) == [Verdict.MISSING] * 2
    ended = PlanPaper.objects.get(pk=made.pk)
    assert (ended.unlinked_by, ended.unlinked_why) == (r.person(), "replaced")
    assert [version.why for version in plan.versions.order_by("number")] == ["COL-1 linked", "replaced"]


def test_paper_of_a_stop_speaks_there_alone(plan: FieldPlan, paper: Any) -> None:
    attach(plan=plan, stop=plan.stops.first(), paper=paper, by=r.person(), why="annex 2")
    assert verdicts(plan) == [Verdict.COVERED, Verdict.MISSING]


def test_what_cannot_be_attached(plan: FieldPlan, paper: Any) -> None:
    attach(plan=plan, paper=paper, by=r.person(), why="")
    with pytest.raises(PlanError, match="already linked to this plan"):
        attach(plan=plan, paper=paper, by=r.person(), why="")
    with pytest.raises(PlanError, match="stop is of another plan"):
        attach(plan=plan, stop=f.stop(), paper=paper, by=r.person(), why="")
    with pytest.raises(PermissionDenied):
        attach(plan=plan, paper=paper, by=r.person(Role.VOLUNTEER), why="")
    assert plan.plan_papers.count() == 1


def test_taken_off_once_and_with_a_reason(plan: FieldPlan, paper: Any) -> None:
    made = attach(plan=plan, paper=paper, by=r.person(), why="")
    with pytest.raises(PlanError, match="Say why"):
        take_off(plan_paper=made, by=r.person(), why="  ")
    take_off(plan_paper=made, by=r.person(), why="replaced")
    with pytest.raises(PlanError, match="taken off already"):
        take_off(plan_paper=made, by=r.person(), why="replaced")


def test_who_looked_at_an_older_version_is_told(plan: FieldPlan, paper: Any) -> None:
    """Two people at one plan: the second one looks again first."""
    attach(plan=plan, paper=paper, by=r.person(), why="")
    second = r.paper("COL-2", jurisdiction="SE")
    attach(plan=plan, paper=second, by=r.person(), why="", seen=1)
    with pytest.raises(PlanError, match="changed this plan meanwhile"):
        attach(plan=plan, paper=r.paper("COL-3"), by=r.person(), why="", seen=1)


def test_closed_plan_takes_no_paper_and_no_decision(plan: FieldPlan, paper: Any) -> None:
    plan.closed_at, plan.closed_by, plan.closed_why = timezone.now(), r.person(), "given up"
    plan.save()
    with pytest.raises(PlanError, match="closed"):
        attach(plan=plan, paper=paper, by=r.person(), why="")
    with pytest.raises(PlanError, match="closed"):
        decide(plan=plan, layer=Layer.LAND, reason=REASON, evidence=EVIDENCE, by=r.person(Role.REGISTRAR))


def test_decision_counts_until_it_is_withdrawn(plan: FieldPlan) -> None:
    registrar = r.person(Role.REGISTRAR)
    made = decide(plan=plan, layer=Layer.COLLECTING, reason=REASON, evidence=EVIDENCE, by=registrar)
    assert verdicts(plan) == [Verdict.NOT_REQUIRED] * 2
    withdraw_decision(decision=made, reason="The land was sold in May.", by=registrar)
    assert verdicts(plan) == [Verdict.MISSING] * 2
    assert PlanDecision.objects.get().withdrawn_reason == "The land was sold in May."
    assert made.history.count() == 2
    with pytest.raises(PlanError, match="withdrawn already"):
        withdraw_decision(decision=made, reason="The land was sold in May.", by=registrar)


def test_what_cannot_be_decided(plan: FieldPlan) -> None:
    registrar = r.person(Role.REGISTRAR)
    told: dict[str, Any] = {"plan": plan, "layer": Layer.LAND, "reason": REASON, "evidence": EVIDENCE, "by": registrar}
    for wrong, said in (
        ({"reason": "no"}, "sentence"), ({"evidence": " "}, "what shows it"), ({"stop": f.stop()}, "another plan"),
    ):  # fmt: skip
        with pytest.raises(PlanError, match=said):
            decide(**{**told, **wrong})
    with pytest.raises(PermissionDenied):
        decide(**{**told, "by": r.person(Role.CURATOR)})
    decide(**told)
    with pytest.raises(PlanError, match="stands already"):
        decide(**told)
    assert PlanDecision.objects.count() == 1


# Pages ----------------------------------------------------------------------------------------------------------------


def test_attach_page(plan: FieldPlan, paper: Any) -> None:
    client, address = client_of(Role.CURATOR), reverse("plans:plan-attach", args=[plan.pk])
    assert '<option value="COL-1">' in client.get(address + "?layer=collecting").content.decode()
    stop = plan.stops.all()[0]
    answer = client.post(address, {"paper": "col-1", "stop": stop.pk, "why": "annex 2"}, follow=True)
    assert answer.redirect_chain == [(reverse("plans:plan", args=[plan.pk]), 302)]
    assert "COL-1 is linked" in answer.content.decode()
    assert plan.plan_papers.get().stop == stop


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"paper": "COL-404"}, "No paper has the reference “COL-404”"),
        ({"paper": ""}, "This field is required"),
        ({"paper": "COL-1", "stop": "999999"}, "not one of the available choices"),
        ({"paper": "COL-1", "seen": "0"}, "changed this plan meanwhile"),
    ],
)
def test_attach_page_refuses_in_words(plan: FieldPlan, paper: Any, sent: dict[str, str], said: str) -> None:
    attach(plan=plan, paper=r.paper("COL-2"), by=r.person(), why="")
    answer = client_of(Role.CURATOR).post(reverse("plans:plan-attach", args=[plan.pk]), sent)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert plan.plan_papers.count() == 1


def test_attached_in_place(plan: FieldPlan, paper: Any) -> None:
    """The script gets the parts of the page with the paper in them; what was refused stands at the form."""
    client, address = client_of(Role.CURATOR), reverse("plans:plan-attach", args=[plan.pk])
    answer = client.post(address, {"paper": "COL-1"}, headers={"hx-request": "true"})
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "COL-1 is linked" in text
    assert "<html" not in text
    again = client.post(address, {"paper": "COL-1"}, headers={"hx-request": "true"})
    assert "already linked to this plan" in again.content.decode()


def test_papers_on_file_are_offered_when_they_are_looked_for(plan: FieldPlan, paper: Any) -> None:
    """The permit holds in June 2027 at both stops; one of 2025 would cover nothing and is not offered."""
    r.version(r.paper("COL-OLD", jurisdiction="SE"), "2025-06-01", "2025-06-30")
    client, address = client_of(Role.CURATOR), reverse("plans:plan", args=[plan.pk])
    assert "Look for papers on file" in client.get(address).content.decode()
    offered = client.get(address + "?offers=1").content.decode().split('id="offers"')[1].split("</section>")[0]
    assert "COL-1" in offered
    assert "Collecting, all stops" in offered
    assert "COL-OLD" not in offered


def test_take_off_page(plan: FieldPlan, paper: Any) -> None:
    made = attach(plan=plan, paper=paper, by=r.person(), why="")
    client, address = client_of(Role.CURATOR), reverse("plans:plan-paper-take-off", args=[made.pk])
    assert "Take the paper off" in client.get(address).content.decode()
    refused = client.post(address, {"why": ""})
    assert (refused.status_code, "Say why the paper is taken off." in refused.content.decode()) == (422, True)
    assert client.post(address, {"why": "replaced"}).status_code == 302
    assert "It was taken off already" in client.get(address).content.decode()


def test_decision_pages(plan: FieldPlan) -> None:
    client: Client = client_of(Role.REGISTRAR)
    address = reverse("plans:plan-decide", args=[plan.pk, "land"])
    assert client.get(address).status_code == 200
    refused = client.post(address, {"reason": "no", "evidence": ""})
    assert refused.status_code == 422
    assert "at least a sentence" in refused.content.decode()
    assert client.post(address, {"reason": REASON, "evidence": EVIDENCE}).status_code == 302
    withdraw = reverse("plans:plan-decision-withdraw", args=[PlanDecision.objects.get().pk])
    assert client.post(withdraw, {"reason": ""}).status_code == 422
    assert client.post(withdraw, {"reason": "The land was sold in May."}).status_code == 302
    assert "It was withdrawn already" in client.get(withdraw).content.decode()
    assert client.get(reverse("plans:plan-decide", args=[plan.pk, "moon"])).status_code == 404


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.AUDITOR])
def test_pages_refuse_who_may_not(plan: FieldPlan, paper: Any, role: str) -> None:
    made = attach(plan=plan, paper=paper, by=r.person(), why="")
    client = client_of(role)
    for address in (
        reverse("plans:plan-attach", args=[plan.pk]), reverse("plans:plan-paper-take-off", args=[made.pk]),
        reverse("plans:plan-decide", args=[plan.pk, "land"]),
    ):  # fmt: skip
        assert client.get(address).status_code == 403
        assert client.post(address).status_code == 403
