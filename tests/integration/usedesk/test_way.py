"""Decisions on the way there: made with evidence, held against the country, withdrawn."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from accessions.people.access import NotAllowedError, role_bits
from accessions.people.models import Role, User
from governance.engine.tables import Layer
from governance.engine.uses import Use, WayCode
from governance.papers.restriction import RestrictedPaperError
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.requests import close_request
from governance.usedesk.actions.way import decide_way, withdraw_way
from governance.usedesk.models import DeskRules, RequestDecision, UseRequest, WayDecision
from governance.usedesk.queries.answering import desk_answer
from tests.factories import register, usedesk

pytestmark = pytest.mark.django_db

WHY: dict[str, Any] = {
    "reason": "The law asks for none for dried insects.",
    "evidence": "Act 12, section 4, seen today",
}


@pytest.fixture
def registrar() -> User:
    return register.person(Role.REGISTRAR)


@pytest.fixture
def client(registrar: User) -> Client:
    found = Client()
    found.force_login(registrar)
    return found


@pytest.fixture
def abroad() -> UseRequest:
    """A loan from Sweden to Iceland."""
    DeskRules.objects.create(pk=1, country="SE")
    return usedesk.use_request(Use.LOAN_ABROAD, specimens=[register.specimen()], country="IS")


def export_code(request: UseRequest) -> WayCode:
    way = desk_answer(request).way.way
    assert way is not None
    return way.export


def test_not_needed_for_a_reason(abroad: UseRequest, registrar: User) -> None:
    assert export_code(abroad) == WayCode.NOT_KNOWN
    made = decide_way(request=abroad, layer=Layer.EXPORT, by=registrar, **WHY)
    assert export_code(abroad) == WayCode.NOT_NEEDED
    assert made.history.get().history_user == registrar
    withdraw_way(decision=made, reason="The section was repealed in 2025.", by=registrar)
    assert export_code(abroad) == WayCode.NOT_KNOWN
    with pytest.raises(DeskError, match="withdrawn already"):
        withdraw_way(decision=made, reason="The section was repealed in 2025.", by=registrar)


def test_held_by_a_paper_of_the_layer(abroad: UseRequest, registrar: User) -> None:
    export = register.paper("EXP-1", layers=(Layer.EXPORT,), kind="export-permit")
    with pytest.raises(DeskError, match="COL-1 does not answer"):
        decide_way(request=abroad, layer=Layer.EXPORT, paper=register.paper("COL-1"), by=registrar, **WHY)
    decide_way(request=abroad, layer=Layer.EXPORT, paper=export, by=registrar, **WHY)
    assert export_code(abroad) == WayCode.HELD


def test_one_stands(abroad: UseRequest, registrar: User) -> None:
    decide_way(request=abroad, layer=Layer.CITES, by=registrar, **WHY)
    with pytest.raises(DeskError, match="A decision on this stands already"):
        decide_way(request=abroad, layer=Layer.CITES, by=registrar, **WHY)
    decide_way(request=abroad, layer=Layer.IMPORT, by=registrar, **WHY)
    assert WayDecision.objects.count() == 2


def test_database_holds_it_too(abroad: UseRequest, registrar: User) -> None:
    decide_way(request=abroad, layer=Layer.CITES, by=registrar, **WHY)
    values = {"request": abroad, "decided_by": registrar} | WHY
    for more, name in (
        ({"layer": int(Layer.CITES)}, "waydecision_one_stands|UNIQUE constraint"),
        ({"layer": int(Layer.LAND)}, "waydecision_layer_known"),
        ({"layer": int(Layer.EXPORT), "evidence": ""}, "waydecision_with_evidence"),
    ):
        with pytest.raises(IntegrityError, match=name), transaction.atomic():
            WayDecision.objects.create(**(values | more))


@pytest.mark.parametrize(
    ("values", "words"),
    [({"reason": "none"}, "at least a sentence"), ({"evidence": "  "}, "Say what shows it")],
)
def test_reason_and_evidence(values: dict[str, str], words: str, abroad: UseRequest, registrar: User) -> None:
    with pytest.raises(DeskError, match=words):
        decide_way(request=abroad, layer=Layer.EXPORT, by=registrar, **(WHY | values))


def test_approvals_that_were_given_with_it(abroad: UseRequest, registrar: User) -> None:
    """What "no paper is needed" lets go is not left standing when that is withdrawn."""
    made = decide_way(request=abroad, layer=Layer.EXPORT, by=registrar, **WHY)
    RequestDecision.objects.create(
        request=abroad, is_approved=True, answer=0, reasons=[{"code": "allowed"}], decided_by=registrar
    )
    with pytest.raises(DeskError, match="1 approval stands that was given with it"):
        withdraw_way(decision=made, reason="The section was repealed in 2025.", by=registrar)


def test_closed_request(abroad: UseRequest, registrar: User) -> None:
    close_request(request=abroad, by=registrar, why="withdrawn")
    with pytest.raises(DeskError, match="is closed"):
        decide_way(request=abroad, layer=Layer.EXPORT, by=registrar, **WHY)


def test_on_its_page(abroad: UseRequest, client: Client) -> None:
    path = reverse("usedesk:way-decide", args=[abroad.pk, "export"])
    register.paper("EXP-1", layers=(Layer.EXPORT,), kind="export-permit")
    register.paper("IMP-1", layers=(Layer.IMPORT,), kind="import-permit")
    offered = client.get(path).content.decode()
    assert '<option value="EXP-1">' in offered
    assert '<option value="IMP-1">' not in offered
    wrong = client.post(path, {"found": "held", "paper": "XX-9", "reason": "no", "evidence": ""})
    text = wrong.content.decode()
    assert wrong.status_code == 422
    for words in ("The register has no paper XX-9", "at least a sentence", "Say what shows it"):
        assert words in text, words
    assert client.post(path, {"found": "held", **WHY}).status_code == 422
    assert client.post(path, {"found": "not-needed", "paper": "EXP-1", **WHY}).status_code == 422
    assert client.post(path, {"found": "held", "paper": "EXP-1", **WHY}).status_code == 302
    made = WayDecision.objects.get()
    assert "A decision stands already." in client.get(path).content.decode()
    gone = reverse("usedesk:way-withdraw", args=[made.pk])
    assert client.post(gone, {"reason": "The permit was for other boxes."}).status_code == 302
    assert "It was withdrawn already" in client.get(gone).content.decode()
    assert client.get(reverse("usedesk:way-decide", args=[abroad.pk, "land"])).status_code == 404


def test_restricted_paper_is_for_its_readers(abroad: UseRequest, registrar: User, client: Client) -> None:
    paper = register.paper(
        "EXP-1", layers=(Layer.EXPORT,), restricted_to=role_bits([Role.COMPLIANCE]), restricted_why="asked by the owner"
    )
    with pytest.raises(RestrictedPaperError):
        decide_way(request=abroad, layer=Layer.EXPORT, paper=paper, by=registrar, **WHY)
    path = reverse("usedesk:way-decide", args=[abroad.pk, "export"])
    assert "EXP-1" not in client.get(path).content.decode()
    answer = client.post(path, {"found": "held", "paper": "EXP-1", **WHY})
    assert "open to compliance officers" in answer.content.decode()


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.CURATOR, Role.AUDITOR, Role.ADMINISTRATOR])
def test_who_decides_nothing(role: str, abroad: UseRequest, registrar: User) -> None:
    person = register.person(role)
    made = decide_way(request=abroad, layer=Layer.EXPORT, by=registrar, **WHY)
    with pytest.raises(NotAllowedError):
        decide_way(request=abroad, layer=Layer.IMPORT, by=person, **WHY)
    with pytest.raises(NotAllowedError):
        withdraw_way(decision=made, reason="The section was repealed in 2025.", by=person)
