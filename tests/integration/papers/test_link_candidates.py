"""Accessions that are offered to a paper that is linked to nothing: of its country, about its days."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from accessions.people.models import Role
from governance.papers.models import Paper, PaperLink
from governance.papers.queries.link_candidates import link_candidates
from tests.factories import register

pytestmark = pytest.mark.django_db


def collected(number: str, country: str, day: str) -> None:
    event = register.event(day=day, country_code=country, country=country, earliest_on=day, latest_on=day)
    register.specimen(f"{number} a", accession=register.accession(number), event=event)


@pytest.fixture
def paper() -> Paper:
    """In force in 2024; a year and a day on either side is 31 December 2022 to 1 January 2026 (366 days each)."""
    made = register.paper("COL-1", jurisdiction="GE-KA")
    register.version(made, "2024-01-01", "2024-12-31")
    return made


def test_country_and_days_narrow_what_is_offered(paper: Paper) -> None:
    collected("VHN-1", "GE", "2024-05-12")
    collected("VHN-2", "GE", "2026-01-01")  # 2025 has 365 days: 31 December 2024 and 366 days
    collected("VHN-3", "GE", "2026-01-02")
    collected("VHN-4", "GE", "2022-12-30")
    collected("VHN-5", "SE", "2024-05-12")
    assert [(one.label, one.sub, one.specimens) for one in link_candidates(paper)] == [
        ("VHN-2", "1 Jan 2026", 1), ("VHN-1", "12 May 2024", 1),
    ]  # fmt: skip


def test_a_tick_links_and_the_offer_is_gone(paper: Paper) -> None:
    collected("VHN-1", "GE", "2024-05-12")
    client = Client()
    client.force_login(register.person(Role.CURATOR))
    address = reverse("papers:paper-link", args=[paper.pk])
    [offered] = link_candidates(paper)
    assert f'value="{offered.value}"><span>VHN-1' in client.get(address).content.decode(), "offered, not ticked"
    client.post(address, {"picked": offered.value})
    assert PaperLink.objects.get().accession.number == "VHN-1"  # type: ignore[union-attr]
    assert link_candidates(paper) == []
