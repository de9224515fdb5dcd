"""A person's decision beside a verdict: with a reason, visible beside what was computed, taken back with a reason."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from accessions.material.models import Specimen
from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.papers.actions import unlink
from governance.papers.models import Paper, PaperVersion
from governance.verdicts.actions import assess
from governance.verdicts.actions.overrides import OverrideError, overrule, withdraw
from governance.verdicts.models import Override, Standing
from governance.verdicts.standing_columns import strip_of
from tests.factories import register

pytestmark = pytest.mark.django_db

REASON = "The owner confirmed by letter that the consent was meant to run to the end of June."


@pytest.fixture
def specimen() -> Specimen:
    """Land: after the end date. Collecting: no paper on file. The other layers are not required."""
    made = register.specimen("LMN-FW-0241858")
    paper = register.paper("LND-2024-117", (Layer.LAND,))
    register.version(paper, "2024-05-01", "2024-06-14")
    register.link(paper, accession=made.accession)
    sheet = register.sheet("GE")
    for layer in Layer:
        register.rule(sheet, layer, layer in (Layer.LAND, Layer.COLLECTING))
    assess(by=None, why="First assessment")
    return made


@pytest.fixture
def registrar(client: Client) -> Client:
    client.force_login(register.person(Role.REGISTRAR))
    return client


def address(specimen: Specimen, layer: str = "land") -> str:
    return reverse("verdicts:override", args=[specimen.pk, layer])


def decide(specimen: Specimen, layer: Layer = Layer.COLLECTING, decided: Verdict = Verdict.NOT_REQUIRED,
           **more: Any) -> Override:  # fmt: skip
    given: dict[str, Any] = {"reason": REASON, "by": register.person(Role.REGISTRAR)} | more
    return overrule(specimen=specimen, layer=layer, decided=decided, **given)


def test_decision_counts_and_the_computed_verdict_stays(specimen: Specimen) -> None:
    """Computed 4 5 1 1 ...: after collecting is decided as not required the worst is land, outside."""
    override = decide(specimen)
    standing = Standing.objects.select_related("ruling").get(pk=specimen.pk)
    assert (override.computed, override.decided) == (Verdict.MISSING, Verdict.NOT_REQUIRED)
    assert standing.ruling.strip == "451111111"
    assert strip_of(standing.cells) == "411111111"
    assert (standing.worst, standing.is_overruled) == (Verdict.OUTSIDE, True)


def test_withdrawn_decision_counts_no_longer_and_is_kept(specimen: Specimen) -> None:
    override = decide(specimen)
    withdraw(override=override, reason="The letter was about another site.", by=register.person(Role.REGISTRAR))
    standing = Standing.objects.get(pk=specimen.pk)
    assert (standing.worst, standing.is_overruled, strip_of(standing.cells)) == (Verdict.MISSING, False, "451111111")
    kept = Override.objects.get()
    assert kept.withdrawn_reason == "The letter was about another site."
    assert kept.withdrawn_by == register.person(Role.REGISTRAR)
    with pytest.raises(OverrideError, match="withdrawn already"):
        withdraw(override=override, reason="Once more, to be sure.", by=register.person(Role.REGISTRAR))


def test_page_says_that_the_computed_verdict_changed_since(specimen: Specimen, registrar: Client) -> None:
    """Decided beside "outside terms", which the decision hides from the lists; the paper is taken off later."""
    decide(specimen, Layer.LAND, Verdict.COVERED)
    page = reverse("verdicts:specimen", args=[specimen.pk])
    said = "The computed verdict changed since the decision: land."
    assert said not in registrar.get(page).content.decode()
    paper = Paper.objects.get()
    unlink(paper=paper, links=paper.links.values_list("pk", flat=True), by=register.person(Role.CURATOR), why="wrong")
    assess(by=None, why="after that")
    standing = Standing.objects.get(pk=specimen.pk)
    assert standing.ruling.strip[Layer.LAND] == str(int(Verdict.MISSING))
    assert standing.worst == Verdict.MISSING, "the old decision hides no new reason"
    assert standing.is_overruled
    assert said in registrar.get(page).content.decode()


def test_decision_outlives_a_new_assessment(specimen: Specimen) -> None:
    decide(specimen)
    assess(by=None, why="again")
    standing = Standing.objects.get(pk=specimen.pk)
    assert (standing.worst, standing.is_overruled) == (Verdict.OUTSIDE, True)


def test_page_says_that_the_computed_verdict_is_another_by_now(registrar: Client, specimen: Specimen) -> None:
    """Decided while land was outside; then the consent turns out to run to 20 June, and land is covered."""
    decide(specimen, Layer.LAND, Verdict.CANNOT_TELL)
    PaperVersion.objects.update(in_force_to="2024-06-20")
    assess(by=None, why="Consent extended")
    text = registrar.get(reverse("verdicts:specimen", args=[specimen.pk])).content.decode()
    assert "computed; Nora Registrar had decided Cannot tell beside Outside terms, which no longer counts" in text


def test_history_holds_who_and_why(specimen: Specimen) -> None:
    decide(specimen)
    entry = Override.history.get()
    assert entry.history_user == register.person(Role.REGISTRAR)
    assert entry.reason == REASON


def test_one_decision_stands_for_a_layer(specimen: Specimen) -> None:
    decide(specimen)
    with pytest.raises(OverrideError, match="withdraw it first"):
        decide(specimen, decided=Verdict.COVERED)
    assert decide(specimen, Layer.LAND, Verdict.COVERED).layer == Layer.LAND, "another layer is another decision"


def test_deciding_the_computed_verdict_is_no_decision(specimen: Specimen) -> None:
    with pytest.raises(OverrideError, match="the same already"):
        decide(specimen, decided=Verdict.MISSING)


def test_verdict_that_changed_meanwhile_is_said(specimen: Specimen) -> None:
    with pytest.raises(OverrideError, match="changed while you were deciding"):
        decide(specimen, expected=int(Verdict.COVERED))
    assert not Override.objects.exists()


@pytest.mark.parametrize("reason", ["", "   ", "ok", "checked", "because-of-it-all"])
def test_reason_is_a_sentence(specimen: Specimen, reason: str) -> None:
    with pytest.raises(OverrideError, match="at least a sentence"):
        decide(specimen, reason=reason)


def test_specimen_without_a_verdict_cannot_be_decided() -> None:
    with pytest.raises(OverrideError, match="no verdict yet"):
        decide(register.specimen())


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.CURATOR, Role.AUDITOR, Role.ADMINISTRATOR])
def test_who_may_not_overrule_is_refused(client: Client, specimen: Specimen, role: str) -> None:
    client.force_login(register.person(role))
    assert client.get(address(specimen)).status_code == 403
    given = {"decided": 0, "reason": REASON, "computed": 4}
    assert client.post(address(specimen), given).status_code == 403
    with pytest.raises(NotAllowedError):
        decide(specimen, by=register.person(role))
    assert not Override.objects.exists()


def test_page_shows_the_computed_verdict_and_takes_the_decision(registrar: Client, specimen: Specimen) -> None:
    page = registrar.get(address(specimen))
    assert "Collected 17 June 2024, 3 days after the end date of" in page.content.decode()
    given = {"decided": int(Verdict.COVERED), "reason": REASON, "computed": int(Verdict.OUTSIDE)}
    answer = registrar.post(address(specimen), given, follow=True)
    text = answer.content.decode()
    assert answer.redirect_chain == [(reverse("verdicts:specimen", args=[specimen.pk]), 302)]
    assert "Land now counts as “Covered”; the computed verdict stays visible." in text
    assert "decided by Nora Registrar; computed: Outside terms" in text
    assert REASON in text


def test_page_of_a_layer_with_a_decision_withdraws_it(registrar: Client, specimen: Specimen) -> None:
    decide(specimen, Layer.LAND, Verdict.COVERED)
    assert REASON in registrar.get(address(specimen)).content.decode()
    answer = registrar.post(address(specimen), {"reason": "The letter was about another site."}, follow=True)
    assert "the decision is withdrawn, the computed verdict counts again." in answer.content.decode()
    assert Override.objects.get().withdrawn_at is not None


def test_mistakes_are_told_and_nothing_is_saved(registrar: Client, specimen: Specimen) -> None:
    answer = registrar.post(address(specimen), {"decided": "", "reason": "no", "computed": 4})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Write at least a sentence" in text
    assert "Choose the verdict that is to count." in text
    assert not Override.objects.exists()


def test_page_says_that_the_verdict_changed_meanwhile(registrar: Client, specimen: Specimen) -> None:
    answer = registrar.post(address(specimen), {"decided": 0, "reason": REASON, "computed": int(Verdict.STRADDLES)})
    assert answer.status_code == 422
    assert "changed while you were deciding" in answer.content.decode()


@pytest.mark.parametrize("layer", ["water", "0", "LAND2"])
def test_layer_that_is_none_is_not_found(registrar: Client, specimen: Specimen, layer: str) -> None:
    assert registrar.get(address(specimen, layer)).status_code == 404


def test_no_verdict_yet_is_not_found(registrar: Client) -> None:
    assert registrar.get(address(register.specimen())).status_code == 404
