"""The ways from records to the audit and back."""

from __future__ import annotations

from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from accessions.people.history import record
from accessions.people.models import Role
from tests.factories import register

pytestmark = pytest.mark.django_db


def _signed_in(role: Role) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def test_an_accession_leads_to_its_history_and_evidence_and_the_history_back() -> None:
    accession = register.accession("LMN-2024-038")
    record(accession, by=None, why="entered")
    own, history = (
        reverse("material:accession", args=[accession.pk]),
        f"/audit/history/material.accession/{accession.pk}/",
    )
    told = unescape(_signed_in(Role.AUDITOR).get(own).content.decode())
    assert f'href="{history}"' in told
    assert f'href="{reverse("audit:bundle")}?of=accession%3ALMN-2024-038"' in told
    assert f'<a class="btn" href="{own}">' in _signed_in(Role.AUDITOR).get(history).content.decode()


@pytest.mark.parametrize(
    ("first", "last", "status"), [("2026-02-02", "2026-02-01", 422), ("2026-02-01", "2026-02-01", 200)]
)
def test_days_that_end_before_they_start_are_refused(first: str, last: str, status: int) -> None:
    """Nothing lies between them: "none" would be a false answer to a slip of the pen. One day alone is a span."""
    address = reverse("audit:ask", args=["reports-due"])
    found = _signed_in(Role.AUDITOR).get(address, {"from": first, "to": last})
    assert found.status_code == status
    assert bool(found.context["form"].errors.get("to")) is (status == 422)
