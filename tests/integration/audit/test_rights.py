"""The page of rights says what the guards of the views do, and what is restricted."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import VERBS_OF_ROLE, Verb, role_bits
from accessions.people.models import Role
from governance.audit.queries.rights import pages, rights
from tests.factories import register, scans
from tests.integration.test_access_sweep import OPEN_TO_STRANGERS, addresses

pytestmark = pytest.mark.django_db


def test_the_page_is_the_sweep() -> None:
    """The addresses that the sweep tries as every role, and the verb at which each lets somebody in."""
    swept = {one.name: getattr(one.callback, "required_verb", None) for one in addresses()}
    told = {f"{page.room}:{page.name}": page.verb for page in pages()}
    assert told == swept and len(pages()) == len(addresses())
    assert {name for name, verb in told.items() if verb is None} == set(OPEN_TO_STRANGERS)
    for page in pages():
        allowed = [page.verb is None or page.verb in VERBS_OF_ROLE[role] for role in Role]
        assert page.roles == allowed


def test_what_is_restricted_and_what_an_auditor_sees(
    client: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:  # fmt: skip
    """The reason is for readers alone; the name of a scan is for nobody here."""
    both = role_bits([Role.REGISTRAR, Role.COMPLIANCE])
    register.paper("PIC-1", restricted_to=both, restricted_why="The chief asked for it")
    register.paper("PIC-2", restricted_to=both | role_bits([Role.AUDITOR]), restricted_why="Prices")
    register.paper("PIC-3")
    scans.scan(original_name="chief.pdf", restricted_to=both)
    client.force_login(register.person(Role.AUDITOR))
    address = reverse("audit:rights")
    client.get(address)
    with django_assert_num_queries(4):  # session, person, papers, scans
        shown = client.get(address).content.decode()
    assert "PIC-1" in shown and "registrars and compliance officers" in shown and "PIC-3" not in shown
    assert "chief" not in shown and "Prices" in shown and "1 scan is open to registrars" in shown
    found = rights(register.person(Role.AUDITOR))
    assert found.auditor_closed == 1 and len(found.auditor) == len(VERBS_OF_ROLE[Role.AUDITOR])
    assert found.auditor_pages == sum(
        1 for page in pages() if page.verb in {None, Verb.READ, Verb.EXPORT, Verb.KEEP_QUESTIONS, Verb.KEEP_SEAL}
    )
