"""Decisions that a layer needs no paper: made, shown, withdrawn; what they do to verdicts, and what they never do.

That the verdicts follow each action is shown by ``test_every_action``; the rule itself by the tables of ``tests/spec``.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from accessions.material.models import Accession, Specimen, Touch
from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from governance.engine.explain import BY_DECISION
from governance.engine.tables import Layer, Verdict
from governance.verdicts.actions import assess, take_up
from governance.verdicts.actions.layer_decisions import DecisionError, decide, withdraw_decision
from governance.verdicts.models import LayerDecision, OutcomeFinding, Run, Standing
from tests.factories import register

pytestmark = pytest.mark.django_db

REASON, EVIDENCE = "The land is the museum’s own.", "land register, folio 12"


def verdict(specimen: Specimen, layer: Layer) -> Verdict:
    return Verdict(int(Standing.objects.get(pk=specimen.pk).ruling.strip[layer]))


def sentence(specimen: Specimen, layer: Layer) -> str:
    ruling = Standing.objects.get(pk=specimen.pk).ruling
    return OutcomeFinding.objects.get(outcome__rulings__ruling=ruling, outcome__layer=int(layer)).sentence


@pytest.fixture
def world() -> dict[str, Any]:
    """An accession with a part; land is required by a rule, and no paper is on file."""
    accession = register.accession()
    part = register.part(accession)
    register.rule(register.sheet("GE"), Layer.LAND)
    event = register.event(country_code="GE")
    made = {
        "accession": accession, "part": part, "by": register.person(Role.COMPLIANCE),
        "whole": register.specimen(accession=accession, event=event),
        "parted": register.specimen(accession=accession, part=part, event=event),
    }  # fmt: skip
    assess(by=None, why="first")
    return made


def test_decision_of_an_accession_speaks_for_its_parts(world: dict[str, Any]) -> None:
    decide(accession=world["accession"], layer=Layer.LAND, reason=REASON, evidence=EVIDENCE, by=world["by"])
    take_up(by=None)
    assert [verdict(world[name], Layer.LAND) for name in ("whole", "parted")] == [Verdict.NOT_REQUIRED] * 2
    assert sentence(world["whole"], Layer.LAND) == BY_DECISION
    assert verdict(world["whole"], Layer.COLLECTING) == Verdict.CANNOT_TELL


def test_decision_of_a_part_leaves_the_rest(world: dict[str, Any]) -> None:
    decide(accession=world["accession"], part=world["part"], layer=Layer.LAND, reason=REASON, evidence=EVIDENCE,
           by=world["by"])  # fmt: skip
    take_up(by=None)
    assert verdict(world["parted"], Layer.LAND) == Verdict.NOT_REQUIRED
    assert verdict(world["whole"], Layer.LAND) == Verdict.MISSING


def test_a_covering_paper_counts_before_the_decision(world: dict[str, Any]) -> None:
    paper = register.paper("LAN-1", (Layer.LAND,), kind="landowner-consent")
    register.version(paper)
    register.link(paper, specimen=world["whole"])
    decide(accession=world["accession"], layer=Layer.LAND, reason=REASON, evidence=EVIDENCE, by=world["by"])
    take_up(by=None)
    assert verdict(world["whole"], Layer.LAND) == Verdict.COVERED
    assert verdict(world["parted"], Layer.LAND) == Verdict.NOT_REQUIRED


def test_a_rule_is_not_called_a_decision(world: dict[str, Any]) -> None:
    register.rule(register.sheet("NO"), Layer.LAND, required=False)
    other = register.specimen(accession=register.accession("LMN-2024-900"), event=register.event(country_code="NO"))
    assess(by=None, why="again")
    assert verdict(other, Layer.LAND) == Verdict.NOT_REQUIRED
    assert sentence(other, Layer.LAND) == "By the rules on file this layer was not required."


def test_the_record_of_a_run_tells_decisions(world: dict[str, Any]) -> None:
    """The digest of what was asked differs as soon as a decision is there, and is the old one without it."""
    before = Run.objects.first().rules_digest  # type: ignore[union-attr]
    made = decide(accession=world["accession"], layer=Layer.LAND, reason=REASON, evidence=EVIDENCE, by=world["by"])
    take_up(by=None)
    during = Run.objects.first().rules_digest  # type: ignore[union-attr]
    withdraw_decision(decision=made, reason="The folio is another one.", by=world["by"])
    take_up(by=None)
    after = Run.objects.first().rules_digest  # type: ignore[union-attr]
    assert during != before == after


def test_withdrawn_it_stays_in_the_record(world: dict[str, Any]) -> None:
    made = decide(accession=world["accession"], layer=Layer.LAND, reason=REASON, evidence=EVIDENCE, by=world["by"])
    withdraw_decision(decision=made, reason="The folio is another one.", by=world["by"])
    take_up(by=None)
    assert verdict(world["whole"], Layer.LAND) == Verdict.MISSING
    kept = LayerDecision.objects.get()
    assert (kept.reason, kept.withdrawn_reason, kept.withdrawn_by) == (REASON, "The folio is another one.", world["by"])
    assert [row.history_type for row in kept.history.all()] == ["~", "+"]
    with pytest.raises(DecisionError, match="withdrawn already"):
        withdraw_decision(decision=made, reason="Once more, for whatever.", by=world["by"])


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"reason": "ok"}, "at least a sentence"),
        ({"reason": "because-of-it-all"}, "at least a sentence"),
        ({"evidence": "  "}, "Say what shows it"),
    ],
)
def test_reason_and_evidence_are_needed(world: dict[str, Any], given: dict[str, str], words: str) -> None:
    asked: dict[str, Any] = {"reason": REASON, "evidence": EVIDENCE} | given
    with pytest.raises(DecisionError, match=words):
        decide(accession=world["accession"], layer=Layer.LAND, by=world["by"], **asked)
    assert not LayerDecision.objects.exists()
    assert not Touch.objects.exists()


def test_one_decision_stands_at_a_time(world: dict[str, Any]) -> None:
    asked: dict[str, Any] = {"layer": Layer.LAND, "reason": REASON, "evidence": EVIDENCE, "by": world["by"]}
    decide(accession=world["accession"], **asked)
    with pytest.raises(DecisionError, match="stands already"):
        decide(accession=world["accession"], **asked)
    decide(accession=world["accession"], part=world["part"], **asked)
    with pytest.raises(DecisionError, match="stands already"):
        decide(accession=world["accession"], part=world["part"], **asked)
    assert LayerDecision.objects.count() == 2


def test_part_of_another_accession_is_refused(world: dict[str, Any]) -> None:
    stranger = register.part(register.accession("LMN-2024-901"))
    with pytest.raises(DecisionError, match="another accession"):
        decide(accession=world["accession"], part=stranger, layer=Layer.LAND, reason=REASON, evidence=EVIDENCE,
               by=world["by"])  # fmt: skip


def test_a_curator_decides_nothing(world: dict[str, Any]) -> None:
    with pytest.raises(NotAllowedError):
        decide(accession=world["accession"], layer=Layer.LAND, reason=REASON, evidence=EVIDENCE,
               by=register.person(Role.CURATOR))  # fmt: skip


# Pages ----------------------------------------------------------------------------------------------------------------


@pytest.fixture
def registrar(client: Client) -> Client:
    client.force_login(register.person(Role.REGISTRAR, first_name="Tomas", last_name="Berglind"))
    return client


def address(accession: Accession) -> str:
    return reverse("verdicts:decision-new", args=[accession.pk, "land"])


TYPED = {"part": "", "reason": REASON, "evidence": EVIDENCE}


def test_look_says_what_would_change_and_saves_nothing(registrar: Client, world: dict[str, Any]) -> None:
    """Two specimens, land: none on file -> not required; the same two are all there is."""
    answer = registrar.post(address(world["accession"]), TYPED | {"look": "1"})
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "The verdicts of 2 specimens would change, for the better." in text
    assert f'<input type="hidden" name="reason" value="{REASON}">' in text
    assert 'name="look"' not in text
    assert not LayerDecision.objects.exists()
    assert not Touch.objects.exists()


def test_decided_from_the_page(registrar: Client, world: dict[str, Any]) -> None:
    answer = registrar.post(address(world["accession"]), TYPED)
    assert answer["Location"] == reverse("verdicts:legal-file", args=[world["accession"].pk])
    assert LayerDecision.objects.get().reason == REASON
    take_up(by=None)
    page = registrar.get(reverse("verdicts:specimen", args=[world["whole"].pk])).content.decode()
    assert "Not required: decided by" in page
    assert f"Evidence: {EVIDENCE}" in page
    assert "Decided by Tomas Berglind" in page
    assert BY_DECISION in page


def test_back_to_the_form_keeps_what_was_typed(registrar: Client, world: dict[str, Any]) -> None:
    answer = registrar.post(address(world["accession"]), TYPED | {"write_on": "1"})
    assert answer.status_code == 200
    assert EVIDENCE in answer.content.decode()
    assert not LayerDecision.objects.exists()


def test_mistakes_are_told(registrar: Client, world: dict[str, Any]) -> None:
    for more in ({}, {"look": "1"}):
        answer = registrar.post(address(world["accession"]), {"reason": "no"} | more)
        assert answer.status_code == 422
        assert "Write at least a sentence" in answer.content.decode()
        assert "Say what shows it" in answer.content.decode()


def test_withdrawn_from_the_page(registrar: Client, world: dict[str, Any]) -> None:
    made = decide(accession=world["accession"], layer=Layer.LAND, reason=REASON, evidence=EVIDENCE, by=world["by"])
    take_up(by=None)
    page = reverse("verdicts:decision-withdraw", args=[made.pk])
    assert REASON in registrar.get(page).content.decode()
    looked = registrar.post(page, {"reason": "The folio is another one.", "look": "1"})
    assert "The verdicts of 2 specimens would change, for the worse." in looked.content.decode()
    registrar.post(page, {"reason": "The folio is another one."})
    assert LayerDecision.objects.get().withdrawn_at is not None
    assert registrar.post(page, {"reason": "The folio is another one."}).status_code == 422


def test_layer_that_is_none_is_not_found(registrar: Client, world: dict[str, Any]) -> None:
    path = reverse("verdicts:decision-new", args=[world["accession"].pk, "water"])
    assert registrar.get(path).status_code == 404
