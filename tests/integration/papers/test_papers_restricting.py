"""A paper closed to some roles: who may do that, what it writes, and what stays possible for the others."""

from __future__ import annotations

import json

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from accessions.material.models import Touch
from accessions.people.access import EVERY_ROLE, NotAllowedError, is_open_to, role_bits, rows_open_to
from accessions.people.models import Role
from governance.papers import actions
from governance.papers.actions.restricting import restrict
from governance.papers.models import Paper
from governance.papers.restriction import RestrictedPaperError, restricted_words
from tests.factories import register

pytestmark = pytest.mark.django_db

LEGAL = (Role.REGISTRAR, Role.COMPLIANCE)


def closed_to_all_but(*roles: str) -> Paper:
    return register.paper(restricted_to=role_bits(roles), restricted_why="community consent")


def signed_in(role: str) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def test_it_is_written_with_who_and_why_and_no_verdict_is_touched() -> None:
    paper = restrict(paper=register.paper(), roles=LEGAL, why=" private address ", by=register.person(Role.REGISTRAR))
    # bits in the order of the roles: volunteer 1, curator 2, registrar 4, compliance 8
    assert (paper.restricted_to, paper.restricted_why) == (4 + 8, "private address")
    newest = paper.history.first()
    assert (newest.history_user.username, newest.history_change_reason) == ("registrar", "private address")
    assert not Touch.objects.exists()


def test_opened_to_all_it_is_restricted_no_longer() -> None:
    paper = closed_to_all_but(*LEGAL)
    restrict(paper=paper, roles=list(Role), why="published since", by=register.person(Role.COMPLIANCE))
    paper.refresh_from_db()
    assert (paper.restricted_to, paper.restricted_why) == (EVERY_ROLE, "")


@pytest.mark.parametrize(
    ("roles", "why", "wrong"),
    [
        ([Role.COMPLIANCE], "a reason", {"roles"}),  # one's own stays among them
        ([], "a reason", {"roles"}),
        (LEGAL, "  ", {"why"}),
        ([Role.CURATOR], "", {"roles", "why"}),
    ],
)
def test_nobody_shuts_himself_out_or_gives_no_reason(roles: list[str], why: str, wrong: set[str]) -> None:
    with pytest.raises(ValidationError) as error:
        restrict(paper=register.paper(), roles=roles, why=why, by=register.person(Role.REGISTRAR))
    assert set(error.value.message_dict) == wrong
    assert Paper.objects.get().restricted_to == EVERY_ROLE


def test_who_may_not_read_it_cannot_open_it() -> None:
    paper = closed_to_all_but(Role.REGISTRAR)
    with pytest.raises(RestrictedPaperError, match=r"open to registrars\. Ask one of them"):
        restrict(paper=paper, roles=list(Role), why="curious", by=register.person(Role.COMPLIANCE))


@pytest.mark.parametrize(
    ("roles", "words"),
    [
        ([Role.REGISTRAR], "registrars"),
        (LEGAL, "registrars and compliance officers"),
        ([Role.AUDITOR, *LEGAL], "registrars, compliance officers and auditors"),
    ],
)
def test_roles_in_a_sentence(roles: list[str], words: str) -> None:
    assert restricted_words(role_bits(roles)) == f"Restricted: open to {words}. Ask one of them."


@pytest.mark.parametrize("role", list(Role))
@pytest.mark.parametrize("bits", [1, 2, 4, 8, 12, 31, 32, 62, EVERY_ROLE])
def test_one_row_and_a_query_agree(role: str, bits: int) -> None:
    """``is_open_to`` in Python and ``rows_open_to`` in the database are one rule."""
    register.paper(restricted_to=bits, restricted_why="" if bits == EVERY_ROLE else "a reason")
    person = register.person(role)
    assert rows_open_to(Paper.objects.all(), person, "restricted_to").exists() == is_open_to(person, bits)


def test_nobody_without_a_session_is_shown_rows() -> None:
    register.paper()
    gone = register.person(Role.REGISTRAR, username="gone", is_active=False)
    for nobody in (None, gone):
        assert not rows_open_to(Paper.objects.all(), nobody, "restricted_to").exists()


def test_who_may_not_read_it_cannot_change_it() -> None:
    """By no action, whatever the page: a curator registers papers, but not this one."""
    paper, curator = closed_to_all_but(*LEGAL), register.person(Role.CURATOR)
    version = {"in_force_from": "2025-01-01", "in_force_to": "2025-12-31"}
    for change in (
        lambda: actions.edit_face(paper=paper, data={"issuer": "x"}, by=curator, why="y"),
        lambda: actions.add_version(paper=paper, data=version, by=curator, why="y"),
        lambda: actions.add_status(paper=paper, data={"state": "revoked", "from": "2025-01-01"}, by=curator, why="y"),
    ):
        with pytest.raises(RestrictedPaperError):
            change()
    assert not paper.versions.exists()


def test_it_can_be_linked_by_its_reference() -> None:
    """Curators link: the link says what the paper covers, and that everybody sees."""
    accession = register.accession()
    made = actions.link(
        paper=closed_to_all_but(*LEGAL), targets=actions.Targets(accessions=[accession.pk]),
        by=register.person(Role.CURATOR), why="its number stands on the box",
    )  # fmt: skip
    assert made == 1


def test_import_leaves_it_as_it_is_and_compares_nothing() -> None:
    """Neither "differs" nor "is the same" is told: either would say what is in it."""
    paper = closed_to_all_but(*LEGAL)
    file = {"papers": [{"reference": paper.reference, "kind": "collecting-permit", "layers": ["collecting"],
                        "issuer": "guessed", "versions": []}]}  # fmt: skip
    data = json.dumps(file).encode()
    plan = actions.preview_import(data, "papers.json", by=register.person(Role.CURATOR))
    assert (plan.new, plan.changed, plan.unchanged, plan.restricted) == ([], [], [], (paper.reference,))
    outcome = actions.import_papers(data, "papers.json", by=register.person(Role.CURATOR), why="x", on_change="take")
    assert outcome.kept == (paper.reference,)
    paper.refresh_from_db()
    assert paper.issuer == "Nazvri Directorate"
    assert len(actions.preview_import(data, "papers.json", by=register.person(Role.REGISTRAR)).changed) == 1


def test_page_sets_and_says_it() -> None:
    paper = register.paper()
    registrar = signed_in(Role.REGISTRAR)
    path = reverse("papers:paper-restrict", args=[paper.pk])
    assert registrar.post(path, {}).status_code == 422
    answer = registrar.post(path, {"roles": LEGAL, "why": "Community consent"}, follow=True)
    text = answer.content.decode()
    assert "is open to registrars and compliance officers; that it exists and what it covers, everybody sees" in text
    assert "Restricted: open to registrars and compliance officers. Community consent." in text
    assert signed_in(Role.CURATOR).get(path).status_code == 403


@pytest.mark.parametrize("role", [Role.CURATOR, Role.REGISTRAR])
def test_history_names_the_roles(role: str) -> None:
    """Bits are for the machine."""
    paper = register.paper()
    by = register.person(Role.REGISTRAR)
    restrict(paper=paper, roles=[*LEGAL, Role.CURATOR], why="a reason", by=by)
    restrict(paper=paper, roles=[*LEGAL, role], why="another", by=by)
    page = signed_in(Role.COMPLIANCE).get(reverse("papers:paper", args=[paper.pk])).content.decode()
    assert "Curator, Registrar, Compliance officer" in page


def test_refusal_is_a_person_s_to_read() -> None:
    with pytest.raises(NotAllowedError, match="open or close papers and scans to roles: Registrar, Compliance officer"):
        restrict(paper=register.paper(), roles=LEGAL, why="x", by=register.person(Role.CURATOR))
