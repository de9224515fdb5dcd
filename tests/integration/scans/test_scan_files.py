"""The file as it came: for saving, for whom it is open to, and never shown."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from accessions.people.access import EVERY_ROLE, role_bits
from accessions.people.models import Role
from governance.scans.models import Scan
from tests.factories import register, scans

pytestmark = pytest.mark.django_db


def asked(scan: Scan | int, role: str = Role.CURATOR) -> Any:
    client = Client()
    client.force_login(register.person(role))
    answer: Any = client.get(reverse("scans:scan-file", args=[scan if isinstance(scan, int) else scan.pk]))
    answer.body = b"".join(answer) if answer.streaming else answer.content  # read to its end, the file is closed
    return answer


def test_attachment_and_nothing_else() -> None:
    """RFC 6266 for the name; "sandbox" of Content Security Policy Level 3; nosniff of the Fetch standard."""
    scan = scans.scan(scans.pdf())
    answer = asked(scan)
    assert answer.body == scans.pdf()
    assert answer["Content-Disposition"] == 'attachment; filename="permit.pdf"'
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Security-Policy"] == "sandbox; default-src 'none'"
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Length"] == str(len(scans.pdf()))
    assert answer["Cache-Control"] == "private, no-store"
    assert answer["Cross-Origin-Resource-Policy"] == "same-origin"


@pytest.mark.parametrize(
    ("name", "sent"),
    [
        ("Genehmigung für Käfer.pdf", "attachment; filename*=utf-8''Genehmigung%20f%C3%BCr%20K%C3%A4fer.pdf"),
        ("אישור.pdf", "attachment; filename*=utf-8''%D7%90%D7%99%D7%A9%D7%95%D7%A8.pdf"),
        ('the "new" permit.pdf', 'attachment; filename="the \\"new\\" permit.pdf"'),
        ("page.html", 'attachment; filename="page.html.pdf"'),
        ("setup.exe", 'attachment; filename="setup.exe.pdf"'),
        ("x" * 300 + ".pdf", f'attachment; filename="{"x" * 300}.pdf"'),
    ],
)
def test_name_for_saving(name: str, sent: str) -> None:
    """RFC 6266, 4.1 and 4.3, with RFC 8187 for letters that are not ASCII (percent-encoded UTF-8 by hand). An ending of
    another kind gets the right one behind it, so that no double click runs it."""
    assert asked(scans.scan(original_name=name))["Content-Disposition"] == sent


@pytest.mark.parametrize("role", Role)
def test_open_to_some_roles(role: str) -> None:
    """The scan and the papers in it must both allow it; who may not reads to whom it is open."""
    scan = scans.scan(restricted_to=role_bits([Role.REGISTRAR, Role.COMPLIANCE]), papers_restricted_to=EVERY_ROLE)
    answer = asked(scan, role)
    if role in (Role.REGISTRAR, Role.COMPLIANCE):
        assert (answer.status_code, answer.body) == (200, scans.pdf())
    else:
        assert answer.status_code == 403
        assert "These roles can open it: Registrar, Compliance" in answer.body.decode()
        assert scans.pdf()[:100] not in answer.body


def test_closed_by_its_papers() -> None:
    scan = scans.scan(papers_restricted_to=role_bits([Role.COMPLIANCE]))
    assert asked(scan, Role.REGISTRAR).status_code == 403


@pytest.mark.parametrize("key", [0, 999_999])
def test_guessed_key(key: int) -> None:
    scans.scan()
    assert asked(key).status_code == 404


def test_store_is_not_served() -> None:
    """Who guesses the name in the store finds nothing under any address."""
    scan = scans.scan()
    client = Client()
    client.force_login(register.person(Role.ADMINISTRATOR))
    for address in (f"/{scan.stored_name}", f"/files/store/{scan.stored_name}", f"/static/{scan.stored_name}",
                    f"/scans/{scan.stored_name}/file", "/static/../files/store/" + scan.stored_name):  # fmt: skip
        assert client.get(address).status_code == 404


def test_lost_from_the_store() -> None:
    scan = scans.scan()
    (Path(settings.FIELDWRIT_FILES) / "store" / scan.stored_name).unlink()
    assert asked(scan).status_code == 404


def test_nobody_signed_in() -> None:
    answer = Client().get(reverse("scans:scan-file", args=[scans.scan().pk]))
    assert (answer.status_code, answer["Location"].split("?")[0]) == (302, reverse("people:sign-in"))


def test_only_to_read() -> None:
    client = Client()
    client.force_login(register.person(Role.REGISTRAR))
    assert client.post(reverse("scans:scan-file", args=[scans.scan().pk])).status_code == 405


def test_queries(django_assert_num_queries: Any) -> None:
    """Session, person, scan."""
    scan = scans.scan()
    client = Client()
    client.force_login(register.person(Role.CURATOR))
    with django_assert_num_queries(3):
        answer: Any = client.get(reverse("scans:scan-file", args=[scan.pk]))
        assert b"".join(answer) == scans.pdf()
