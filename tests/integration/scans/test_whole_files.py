"""Files that a form sends whole, without the script: the limit holds while they come."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.files.uploadhandler import TemporaryFileUploadHandler
from django.http import HttpRequest
from django.test import Client, RequestFactory
from django.urls import reverse

from accessions.people.models import Role
from governance.scans.models import Scan
from governance.scans.whole_files import NoMoreThanTheLimit
from tests.factories import register

LIMIT = 1_000_000


@pytest.fixture(autouse=True)
def one_megabyte(settings: Any) -> None:
    settings.FIELDWRIT_LARGEST_FILE_MB = 1


def kept(field: str, *sizes: int) -> list[int]:
    """How much of each file is on the disk, after a form sent them."""
    files = [SimpleUploadedFile(f"{size}.txt", b"a" * size) for size in sizes]
    request: HttpRequest = RequestFactory().post("/", {field: files})
    request.upload_handlers = [NoMoreThanTheLimit(request), TemporaryFileUploadHandler(request)]
    found = request.FILES.getlist(field)
    on_disk = [one.seek(0, io.SEEK_END) for one in found]
    assert on_disk == [one.size for one in found]
    for one in found:
        one.close()
    return on_disk


@pytest.mark.parametrize(
    ("size", "expected"),
    [
        (1, 1),
        (LIMIT - 1, LIMIT - 1),
        (LIMIT, LIMIT),
        (LIMIT + 1, LIMIT + 1),
        (LIMIT + 2, LIMIT + 1),
        (5 * LIMIT, LIMIT + 1),
    ],
)
def test_no_more_than_the_limit_and_a_byte(size: int, expected: int) -> None:
    assert kept("files", size) == [expected]


def test_each_file_by_itself() -> None:
    assert kept("photographs", 3 * LIMIT, 7, LIMIT) == [LIMIT + 1, 7, LIMIT]


def test_other_forms_get_all_of_it() -> None:
    """A list of specimens that was cut would be taken for a shorter list."""
    assert kept("file", 3 * LIMIT) == [3 * LIMIT]


@pytest.mark.django_db
def test_rest_of_a_drop_goes_on() -> None:
    client = Client()
    client.force_login(register.person(Role.CURATOR))
    address = reverse("scans:file-on-accession", args=[register.accession().pk])
    large, small = SimpleUploadedFile("large.txt", b"a" * (2 * LIMIT)), SimpleUploadedFile("small.txt", b"I agree.")
    text = client.post(address, {"files": [large, small]}).content.decode()
    assert "larger than 1 MB" in text
    assert [scan.original_name for scan in Scan.objects.all()] == ["small.txt"]
