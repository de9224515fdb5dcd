"""The pages on which scans are dropped and filed, as people of each role meet them."""

from __future__ import annotations

import re
from typing import Any, ClassVar

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from accessions.material.models import Accession
from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.scans.actions.filing import file_scans, take_off
from governance.scans.models import Filing, Scan, Upload
from governance.scans.queries.filings import filed_on
from tests.factories import register, scans

pytestmark = pytest.mark.django_db

PDF = SimpleUploadedFile
WRITERS = (Role.CURATOR, Role.REGISTRAR, Role.COMPLIANCE)
READERS = (Role.VOLUNTEER, Role.AUDITOR, Role.ADMINISTRATOR)


def client_of(role: str = Role.CURATOR) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def drop_on(accession: Accession, client: Client | None = None, **data: Any) -> Any:
    address = reverse("scans:file-on-accession", args=[accession.pk])
    return (client or client_of()).post(address, data)


def text_of(answer: Any) -> str:
    """The words of a page, without markup."""
    return " ".join(re.sub(r"<[^>]*>", " ", answer.content.decode()).split())


def test_files_whole_without_script() -> None:
    accession = register.accession()
    client = client_of()
    answer = drop_on(
        accession, client, files=[PDF("a.pdf", scans.pdf(1)), PDF("b.png", scans.png())], filed_as="permit", why="mail"
    )
    assert (answer.status_code, answer["Location"]) == (302, reverse("material:accession", args=[accession.pk]))
    page = text_of(client.get(answer["Location"]))
    assert "a.pdf: Filed." in page and "b.png: Filed." in page
    rows = Filing.objects.order_by("pk").values_list("name", "filed_as", "filed_why")
    assert list(rows) == [("a.pdf", "permit", "mail"), ("b.png", "permit", "mail")]


def test_page_lists_each_file_if_one_was_refused() -> None:
    answer = drop_on(register.accession(), files=[PDF("a.pdf", scans.pdf(1)), PDF("empty.pdf", b"")])
    page = text_of(answer)
    assert answer.status_code == 422
    assert "1 filed, 1 refused." in page
    assert re.search(r"a\.pdf\s+Filed\.", page) and "empty.pdf" in page
    assert Filing.objects.get().name == "a.pdf"


def test_nothing_chosen() -> None:
    answer = drop_on(register.accession())
    assert answer.status_code == 422
    assert "No file came. Choose one or more files" in text_of(answer)


def test_photographs_of_one_name_are_no_editions() -> None:
    """Tablets call each of them image.jpg."""
    pictures = [PDF("image.jpg", scans.image("JPEG", (40, 30))), PDF("image.jpg", scans.image("JPEG", (30, 40)))]
    drop_on(register.accession(), photographs=pictures)
    names = list(Filing.objects.order_by("pk").values_list("name", flat=True))
    assert len(names) == 2 == len(set(names))
    assert all(re.fullmatch(r"Photograph \d{4}-\d\d-\d\d \d\d\.\d\d\.\d\d \d\.jpg", name) for name in names)
    assert set(Filing.objects.values_list("edition", flat=True)) == {1}


def test_back_to_where_the_drop_was_and_nowhere_else() -> None:
    accession = register.accession()
    for back, expected in (("/papers/?q=x", "/papers/?q=x"), ("https://example.org/", None), ("//example.org/", None)):
        answer = drop_on(accession, files=[PDF("a.pdf", scans.pdf(1))], back=back)
        assert answer["Location"] == (expected or reverse("material:accession", args=[accession.pk]))


class TestScript:
    """What drop.js asks for."""

    JSON: ClassVar[dict[str, Any]] = {"HTTP_ACCEPT": "application/json"}

    def test_answers_each_token(self) -> None:
        curator, accession = register.person(), register.accession()
        whole = {"size_bytes": 9, "received_bytes": 9, "started_by": curator}
        Upload.objects.create(token="a" * 32, name="a.pdf", scan=scans.scan(), **whole)
        Upload.objects.create(token="b" * 32, name="b.pdf", problem="It is torn.", **whole)
        address = reverse("scans:file-on-accession", args=[accession.pk])
        answer = client_of().post(address, {"upload": ["a" * 32, "b" * 32]}, **self.JSON)
        assert answer.json() == {
            "summary": "1 filed, 1 refused.",
            "files": [
                {"key": "a" * 32, "name": "a.pdf", "outcome": "filed", "words": "Filed."},
                {"key": "b" * 32, "name": "b.pdf", "outcome": "refused", "words": "It is torn."},
            ],
        }

    def test_token_of_somebody_else_is_nothing(self) -> None:
        other = register.person(Role.REGISTRAR)
        scan = scans.scan()
        Upload.objects.create(token="a" * 32, name="a.pdf", size_bytes=9, received_bytes=9, started_by=other, scan=scan)
        address = reverse("scans:file-on-accession", args=[register.accession().pk])
        answer = client_of().post(address, {"upload": "a" * 32}, **self.JSON)
        assert answer.status_code == 422 and "No file came" in answer.json()["problem"]
        assert not Filing.objects.exists()

    @pytest.mark.parametrize("key", ["{pk}", "999999", "9" * 30, "x", "-1", "٣"])
    def test_scan_that_may_not_be_opened_is_not_filed(self, key: str) -> None:
        """A guessed key tells nothing: closed and absent look the same."""
        scan = scans.scan(restricted_to=role_bits([Role.REGISTRAR]))
        address = reverse("scans:file-on-accession", args=[register.accession().pk])
        answer = client_of().post(address, {"scan": key.format(pk=scan.pk)}, **self.JSON)
        assert answer.status_code == 422
        assert not Filing.objects.exists()

    def test_open_scan_is_filed_by_its_key(self) -> None:
        scan = scans.scan()
        answer = drop_on(register.accession(), scan=scan.pk)
        assert answer.status_code == 302 and Filing.objects.get().scan == scan


class TestPanel:
    """``{% filed_scans accession %}`` on the page of the accession; that of a site is the same."""

    @staticmethod
    def panel(client: Client, place: Any = None) -> str:
        address = reverse("material:accession", args=[Accession.objects.get().pk]) if place is None else place
        text = client.get(address).content.decode()
        found = re.search(r'<section class="panel" id="filed-scans">.*?</section>', text, re.DOTALL)
        assert found
        return found[0]

    @pytest.mark.parametrize("role", WRITERS)
    def test_who_may_drop(self, role: str) -> None:
        drop_on(register.accession(), files=[PDF("a.pdf", scans.pdf(3))])
        panel = self.panel(client_of(role))
        assert 'type="file"' in panel and "Take off" in panel
        assert "Which papers are in it?" in panel and "Register a paper from it" in panel

    @pytest.mark.parametrize("role", READERS)
    def test_who_may_only_look(self, role: str) -> None:
        drop_on(register.accession(), files=[PDF("a.pdf", scans.pdf(3))])
        panel = self.panel(client_of(role))
        assert "a.pdf" in panel and "3 pages" in panel
        assert 'type="file"' not in panel and "Take off" not in panel and "Register a paper" not in panel
        assert ("Give one of them what you have" in panel) == (role == Role.VOLUNTEER)  # who hold the letters in hand

    def test_restricted_shows_as_such_only(self) -> None:
        drop_on(register.accession(), files=[PDF("secret village.pdf", scans.pdf(1))], why="from the chief")
        Scan.objects.update(restricted_to=role_bits([Role.REGISTRAR]))
        panel = self.panel(client_of())
        assert "A restricted file" in panel
        assert "secret village" not in panel and "from the chief" not in panel and "/pages/" not in panel
        assert "secret village" in self.panel(client_of(Role.REGISTRAR))

    def test_editions_stand_together(self) -> None:
        accession = register.accession()
        for pages in (1, 2, 3):
            drop_on(accession, files=[PDF("consent.pdf", scans.pdf(pages))])
        panel = self.panel(client_of())
        assert panel.index("edition 3") < panel.index("2 earlier editions") < panel.index("edition 2")
        assert "1 file" in panel

    def test_taken_off_is_told_apart(self) -> None:
        accession = register.accession()
        drop_on(accession, files=[PDF("letter.pdf", scans.pdf(1))])
        take_off(filing=Filing.objects.get(), by=register.person(), why="of another accession")
        panel = self.panel(client_of())
        assert "No scan is filed here yet" in panel
        assert "1 taken off" in panel and "of another accession" in panel

    def test_site(self) -> None:
        site = register.site()
        client_of().post(reverse("scans:file-on-site", args=[site.pk]), {"files": [PDF("map.pdf", scans.pdf(1))]})
        assert "map.pdf" in self.panel(client_of(), reverse("sites:site", args=[site.pk]))

    def test_queries_do_not_grow_with_the_files(self, django_assert_num_queries: Any) -> None:
        """The list costs two queries, those of the filings and of the marks; the papers in them a third."""
        accession, client, curator = register.accession(), client_of(), register.person()
        address = reverse("material:accession", args=[accession.pk])
        counts = []
        for wanted in (1, 12):
            for n in range(Filing.objects.count(), wanted):
                scan = scans.scan(f"%PDF- {n}".encode(), original_name=f"{n}.pdf")
                file_scans(scans=[scan], accession=accession, by=curator)
            with django_assert_num_queries(2):
                assert len(filed_on(accession, curator).files) == wanted
            with CaptureQueriesContext(connection) as captured:
                client.get(address)
            counts.append(len(captured))
        assert counts[0] == counts[1]


class TestOneFiling:
    """Sorted, and taken off."""

    @pytest.fixture
    def filing(self) -> Filing:
        drop_on(register.accession(), files=[PDF("letter.pdf", scans.pdf(1))])
        return Filing.objects.get()

    def test_sorted(self, filing: Filing) -> None:
        address = reverse("scans:filing-sort", args=[filing.pk])
        assert "What is letter.pdf?" in text_of(client_of().get(address))
        answer = client_of().post(address, {"filed_as": "letter"})
        assert answer["Location"].endswith("#filed-scans")
        assert Filing.objects.get().filed_as == "letter"
        assert client_of().post(address, {"filed_as": "treaty"}).status_code == 422

    def test_taken_off(self, filing: Filing) -> None:
        address = reverse("scans:filing-take-off", args=[filing.pk])
        assert "The file itself is kept" in text_of(client_of().get(address))
        assert client_of().post(address, {"why": ""}).status_code == 422
        answer = client_of().post(address, {"why": "of another accession"})
        assert answer.status_code == 302
        assert Filing.objects.get().taken_off_why == "of another accession"

    def test_closed_file_shows_no_name(self, filing: Filing) -> None:
        """Also by its address, which can be guessed."""
        Scan.objects.update(restricted_to=role_bits([Role.REGISTRAR]))
        for name in ("scans:filing-take-off", "scans:filing-sort"):
            address = reverse(name, args=[filing.pk])
            for answer in (client_of().get(address), client_of().post(address, {"why": "x", "filed_as": "letter"})):
                assert answer.status_code == 403
                assert "letter.pdf" not in answer.content.decode()
        assert Filing.objects.get().taken_off_at is None and Filing.objects.get().filed_as == "unsorted"

    def test_guessed_key(self) -> None:
        assert client_of().get(reverse("scans:filing-sort", args=[9999])).status_code == 404
