"""Conditions that ask for notice or a report: on the page of a paper and in its form."""

from __future__ import annotations

import pytest
from django.test import Client

from governance.papers import actions
from governance.papers.models import Condition, Paper
from tests.factories import register as r
from tests.factories.paper_objects import paper_object

pytestmark = pytest.mark.django_db

VERSION = {
    "in_force_from": "2026-01-01",
    "conditions": [
        {"text": "The warden is told a week before.", "page": 2, "notice_days": 7},
        {"text": "A list is sent each year.", "report_by": "01-31"},
    ],
}


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(r.person("registrar"))
    return client


def registered() -> Paper:
    return actions.register(
        data=paper_object("RES-1", versions=[VERSION]), by=r.person("registrar"), why="from the scan"
    )


def test_the_page_says_what_a_condition_asks_for(client: Client) -> None:
    kept = registered()
    page = client.get(f"/papers/{kept.pk}/").content.decode()
    assert "Notice 7 days before the first day" in page
    assert "A report each year by 31 January" in page


def test_the_form_shows_it_and_saving_keeps_it(client: Client) -> None:
    kept = registered()
    version = kept.versions.get()
    address = f"/papers/{kept.pk}/versions/{version.pk}/edit/"
    form = client.get(address).context["terms"].version
    assert form["conditions"].value().splitlines() == [
        "p. 2: The warden is told a week before. [notice 7 days]",
        "A list is sent each year. [report by 31 January]",
    ]


def test_a_mistake_stands_beside_the_box_and_nothing_is_saved(client: Client) -> None:
    kept = registered()
    version = kept.versions.get()
    address = f"/papers/{kept.pk}/versions/{version.pk}/edit/"
    blank = {f"{prefix}-{name}": "0" for prefix in ("places", "caps") for name in ("TOTAL_FORMS", "INITIAL_FORMS")}
    sent = {
        **blank,
        "in_force_from": "2026-01-01",
        "why": "read again",
        "conditions": "A list. [report by 30 February]",
    }
    page = client.post(address, sent)
    assert page.status_code == 422
    assert "[report by 30 February]" in page.content.decode()
    assert Condition.objects.filter(version=version, report_by="01-31").exists()
