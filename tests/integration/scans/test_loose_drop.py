"""Scans brought in before they have a file."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from accessions.people.models import Role
from governance.scans.models import Scan
from tests.factories import register, scans

pytestmark = pytest.mark.django_db

ADDRESS = "scans:scan-drop"


@pytest.fixture
def client() -> Client:
    made = Client()
    made.force_login(register.person(Role.CURATOR))
    return made


def files() -> list[SimpleUploadedFile]:
    return [SimpleUploadedFile("permit.pdf", scans.pdf(1)), SimpleUploadedFile("torn.pdf", scans.pdf(3)[:400])]


def test_the_sound_ones_stay_and_lead_to_the_form_of_a_paper(client: Client) -> None:
    page = client.post(reverse(ADDRESS), {"files": files()}, follow=True).content.decode()
    scan = Scan.objects.get()
    assert "permit.pdf: Received; it stands in no file yet." in page
    assert "torn.pdf: " in page
    assert f"{reverse('papers:paper-new')}?scan={scan.pk}" in page


def test_the_script_is_told_of_each_file(client: Client) -> None:
    first, again = (
        client.post(reverse(ADDRESS), {"files": files()}, headers={"accept": "application/json"}).json() for _n in "ab"
    )
    assert [(one["name"], one["outcome"]) for one in first["files"]] == [
        ("permit.pdf", "filed"), ("torn.pdf", "refused"),
    ]  # fmt: skip
    assert first["summary"] == "1 received, 1 refused."
    assert again["files"][0]["words"] == "Its content was on file already."
    nothing = client.post(reverse(ADDRESS), {}, headers={"accept": "application/json"})
    assert (nothing.status_code, "No file came" in nothing.json()["problem"]) == (422, True)
