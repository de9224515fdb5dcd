"""Pictures of pages as browsers get them: headers, roles, caching, pages that cannot be drawn."""

from __future__ import annotations

import io
import os
import time
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.scans.confined import ConfinedError
from governance.scans.drawing import kept, pictures
from governance.scans.models import Scan
from tests.factories import register, scans

pytestmark = pytest.mark.django_db


def signed_in(role: str = Role.VOLUNTEER) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def address(scan: Scan, number: int = 1, **asked: Any) -> str:
    query = "&".join(f"{name}={value}" for name, value in asked.items())
    return f"{reverse('scans:page-image', args=[scan.pk, number])}?{query}"


def two_pages(**fields: Any) -> Scan:
    return scans.scan(scans.pdf(2), page_count=2, **fields)


def files_of(scan: Scan) -> list[str]:
    return sorted(path.name for path in kept.picture_path(scan.sha256, 1, 160).parent.iterdir())


def test_page_comes_as_a_picture_of_ours_with_headers_that_tie_it_down() -> None:
    answer = signed_in().get(address(two_pages()))
    assert answer.status_code == 200
    assert answer["Content-Type"] == "image/png"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Security-Policy"] == "sandbox; default-src 'none'"
    assert answer["Cache-Control"] == "private, max-age=600"
    assert "Cookie" in answer["Vary"]
    picture = Image.open(io.BytesIO(answer.content))
    assert (picture.format, picture.size) == ("PNG", (900, 1273))  # A4: 900 * 841.89 / 595.28 = 1272.8


@pytest.mark.parametrize(("width", "height"), [(160, 226), (900, 1273), (1600, 2263)])
def test_sizes(width: int, height: int) -> None:
    answer = signed_in().get(address(two_pages(), width=width))
    assert Image.open(io.BytesIO(answer.content)).size == (width, height)


def test_turned_page_lies_on_its_side() -> None:
    client, scan = signed_in(), two_pages()
    upright = Image.open(io.BytesIO(client.get(address(scan, width=160)).content))
    turned = Image.open(io.BytesIO(client.get(address(scan, width=160, turn=90)).content))
    assert turned.size == (226, 160)
    # What stood above left stands above right: column x from the right is row x.
    assert all(turned.getpixel((225 - y, x)) == upright.getpixel((x, y)) for x, y in [(22, 18), (40, 20), (80, 100)])


def test_browser_that_has_the_picture_is_told_so_without_drawing() -> None:
    client, scan = signed_in(), two_pages()
    first = client.get(address(scan))
    kept.picture_path(scan.sha256, 1, 900).unlink()
    again = client.get(address(scan), headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert again["Content-Security-Policy"] == "sandbox; default-src 'none'"
    assert not kept.picture_path(scan.sha256, 1, 900).exists()


@pytest.mark.parametrize(
    ("number", "asked"),
    [(0, {}), (3, {}), (1, {"width": 161}), (1, {"width": "x"}), (1, {"turn": 45}), (1, {"width": 10**9})],
)
def test_no_such_picture(number: int, asked: dict[str, Any]) -> None:
    assert signed_in().get(address(two_pages(), number, **asked)).status_code == 404


def test_no_picture_of_a_file_without_pages() -> None:
    mail = scans.scan(b"From: a\n\nb", page_count=None, media_type="message/rfc822", original_name="a.eml")
    assert signed_in().get(address(mail)).status_code == 404


@pytest.mark.parametrize("role", list(Role))
def test_restricted_scan_opens_to_its_roles_alone(role: str) -> None:
    """Both must allow: whoever opened the scan, and the papers in it."""
    scan = two_pages(
        restricted_to=role_bits([Role.REGISTRAR, Role.COMPLIANCE]),
        papers_restricted_to=role_bits([Role.COMPLIANCE, Role.CURATOR]),
    )
    answer = signed_in(role).get(address(scan))
    assert answer.status_code == (200 if role == Role.COMPLIANCE else 403)
    if role != Role.COMPLIANCE:
        assert b"\x89PNG" not in answer.content
        assert scan.original_name.encode() not in answer.content


def test_stranger_is_sent_to_sign_in() -> None:
    answer = Client().get(address(two_pages()))
    assert (answer.status_code, answer["Location"].split("?")[0]) == (302, reverse("people:sign-in"))


def test_thumbnails_are_drawn_together_and_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """45 pages in one drop of three processes, not 45; asked once more there is nothing to do."""
    scan = scans.scan(scans.pdf(45), page_count=45)
    runs: list[str] = []
    run = pictures.run

    def noted_run(module: str, arguments: list[Any], **more: Any) -> Any:
        runs.append(arguments[3])
        return run(module, arguments, **more)

    monkeypatch.setattr(pictures, "run", noted_run)
    assert pictures.draw_thumbnails(scan.pk) == 45
    assert [len(pages.split(",")) for pages in runs] == [20, 20, 5]
    assert pictures.draw_thumbnails(scan.pk) == 45
    assert len(runs) == 3
    assert files_of(scan) == sorted(f"{number}-160.png" for number in range(1, 46))


def test_no_thumbnails_of_nothing() -> None:
    mail = scans.scan(b"From: a\n\nb", page_count=None, media_type="message/rfc822", original_name="a.eml")
    assert pictures.draw_thumbnails(mail.pk) == 0
    assert pictures.draw_thumbnails(mail.pk + 1) == 0


def broken(content: bytes = b"%PDF-1.7\nthis is no PDF", **fields: Any) -> Scan:
    return scans.scan(content, page_count=3, media_type="application/pdf", original_name="broken.pdf", **fields)


def test_page_that_cannot_be_drawn_is_a_picture_that_says_so() -> None:
    client, scan = signed_in(), broken()
    answer = client.get(address(scan))
    assert answer.status_code == 200
    assert (answer["Content-Type"], answer["Cache-Control"]) == ("image/png", "private, no-store")
    assert Image.open(io.BytesIO(answer.content)).size == (900, 1273)
    assert kept.problem_of(scan.sha256, 1)
    page = client.get(reverse("scans:scan", args=[scan.pk])).content.decode()
    assert "This page could not be drawn." in page


def test_page_that_failed_is_tried_again_after_an_hour_not_before(monkeypatch: pytest.MonkeyPatch) -> None:
    client, scan = signed_in(), broken()
    client.get(address(scan))
    runs: list[Any] = []

    def drawn_nothing(*told: Any, **_more: Any) -> list[Any]:
        runs.append(told)
        return []

    monkeypatch.setattr(pictures, "run", drawn_nothing)
    client.get(address(scan))
    assert runs == []
    note = next(Path(kept.pages_folder()).rglob("1.problem"))
    os.utime(note, (0, time.time() - 3601))
    client.get(address(scan))
    assert len(runs) == 1


def test_page_that_breaks_the_process_costs_itself_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """A page that takes too long: those before it are kept, those after it are drawn by the next process."""
    scan = scans.scan(scans.pdf(4), page_count=4)
    run = pictures.run

    def run_until_two(module: str, arguments: list[Any], **more: Any) -> Any:
        pages = [int(page) for page in arguments[3].split(",")]
        if 2 not in pages:
            return run(module, arguments, **more)
        run(module, [*arguments[:3], ",".join(str(page) for page in pages if page < 2), arguments[4]], **more)
        raise ConfinedError("time", "no answer within 40 s")

    monkeypatch.setattr(pictures, "run", run_until_two)
    assert pictures.draw_thumbnails(scan.pk) == 3
    assert files_of(scan) == ["1-160.png", "2.problem", "3-160.png", "4-160.png"]
    assert kept.problem_of(scan.sha256, 2) == "time: no answer within 40 s"


def test_lost_content_is_no_error_page_and_comes_back_with_the_content() -> None:
    scan = two_pages(stored=False)
    client = signed_in()
    assert client.get(address(scan))["Cache-Control"] == "private, no-store"
    scans.store().save(scan.stored_name, io.BytesIO(scans.pdf(2)))
    assert client.get(address(scan))["Cache-Control"] == "private, max-age=600"


def test_nothing_half_written_stays(settings: Any) -> None:
    scan = two_pages()
    signed_in().get(address(scan, width=160))
    root = Path(settings.FIELDWRIT_FILES) / "pages"
    assert {path.suffix for path in root.rglob("*") if path.is_file()} == {".png"}
    assert len([path for path in root.iterdir() if path.is_dir()]) == 1  # no folder of a process
