"""Who opened what is restricted is written down, sealed, and shown to those who keep the seal."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.history import record
from accessions.people.models import Role, Seal
from governance.audit.models import Opening
from governance.papers.models import Paper
from tests.factories import duties, register, scans

pytestmark = pytest.mark.django_db
CLOSED = role_bits([Role.REGISTRAR, Role.COMPLIANCE])


def restricted(reference: str = "PIC-SECRET") -> Paper:
    return register.paper(reference, restricted_to=CLOSED, restricted_why="Asked for by the community")


def signed_in(role: str) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def told() -> list[tuple[str, int | None, int | None, str]]:
    return list(Opening.objects.order_by("pk").values_list("opened_by__username", "paper", "scan", "place"))


class TestWhatIsWrittenDown:
    def test_page_and_file_of_a_paper(self) -> None:
        paper, client = restricted(), signed_in(Role.REGISTRAR)
        client.get(reverse("papers:paper", args=[paper.pk]))
        client.get(reverse("papers:paper-export", args=[paper.pk]))
        client.get(reverse("papers:papers-export"))
        assert told() == [("registrar", paper.pk, None, f"papers:{place}") for place in
                          ("paper", "paper-export", "papers-export")]  # fmt: skip

    def test_not_who_may_not_read_it(self) -> None:
        """Nor a page that only names it."""
        paper = restricted()
        curator = signed_in(Role.CURATOR)
        assert curator.get(reverse("papers:paper", args=[paper.pk])).status_code == 200
        assert curator.get(reverse("papers:paper-export", args=[paper.pk])).status_code == 403
        signed_in(Role.REGISTRAR).get(reverse("papers:papers"))
        assert told() == []

    def test_answers_that_tell_what_is_in_it(self) -> None:
        """A composed answer on the page and as a file: the issuer is told to its readers alone."""
        paper = restricted()
        asked = {"subject": "papers", "col": "issuer"}
        for role in (Role.REGISTRAR, Role.AUDITOR):
            for name in ("compose", "compose-csv"):
                answer = signed_in(role).get(reverse(f"audit:{name}"), asked)
                assert b"".join(answer) if answer.streaming else answer.content  # type: ignore[attr-defined]
        assert told() == [("registrar", paper.pk, None, "audit:compose"),
                          ("registrar", paper.pk, None, "audit:compose-csv")]  # fmt: skip

    def test_its_history(self) -> None:
        paper = restricted()
        record(paper, by=None, why="entered")
        for role in (Role.AUDITOR, Role.REGISTRAR):
            assert signed_in(role).get(reverse("audit:history", args=["papers.paper", paper.pk])).status_code == 200
        assert told() == [("registrar", paper.pk, None, "audit:history")]

    def test_lists_that_tell_words_of_it_once_an_hour(self) -> None:
        """The list of duties, asked for twice, and as a file that is read while it is sent."""
        paper, client = restricted(), signed_in(Role.COMPLIANCE)
        duties.duty(paper=paper)
        for _time in range(2):
            client.get(reverse("duties:duties"))
        assert told() == [("compliance", paper.pk, None, "duties:duties")]
        b"".join(client.get(reverse("duties:duties-export", args=["csv"])).streaming_content)  # type: ignore[attr-defined]
        assert told()[1:] == [("compliance", paper.pk, None, "duties:duties-export")]

    def test_page_picture_and_file_of_a_scan(self) -> None:
        """A page with its pictures is one reading; pictures asked for by themselves are one an hour."""
        scan, client = scans.scan(scans.pdf(pages=2), page_count=2, restricted_to=CLOSED), signed_in(Role.REGISTRAR)
        pictures = [reverse("scans:page-image", args=[scan.pk, page]) for page in (1, 2)]
        for address in (*pictures, reverse("scans:scan", args=[scan.pk]), *pictures):
            assert client.get(address).status_code == 200
        list(client.get(reverse("scans:scan-file", args=[scan.pk])).streaming_content)  # type: ignore[attr-defined]
        signed_in(Role.CURATOR).get(reverse("scans:scan", args=[scan.pk]))
        assert told() == [("registrar", None, scan.pk, f"scans:{place}") for place in
                          ("page-image", "scan", "scan-file")]  # fmt: skip

    def test_what_is_open_costs_nothing(self, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        """The page of a scan that is open to all: as many queries as before, and no row."""
        scan, client = scans.scan(), signed_in(Role.REGISTRAR)
        address = reverse("scans:scan-file", args=[scan.pk])
        list(client.get(address).streaming_content)  # type: ignore[attr-defined]
        with django_assert_num_queries(3):  # session, person, scan
            list(client.get(address).streaming_content)  # type: ignore[attr-defined]
        assert told() == []


def test_it_is_sealed(django_capture_on_commit_callbacks: Any) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        paper = restricted()
        signed_in(Role.REGISTRAR).get(reverse("papers:paper", args=[paper.pk]))
    made = Opening.objects.get()
    assert Seal.objects.filter(shape__table="audit_opening", row=made.pk).count() == 1


class TestPage:
    def test_by_paper_person_and_period(self, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        one, other = restricted("PIC-ONE"), restricted("PIC-TWO")
        for role, paper in ((Role.REGISTRAR, one), (Role.COMPLIANCE, other), (Role.COMPLIANCE, one)):
            signed_in(role).get(reverse("papers:paper", args=[paper.pk]))
        address, auditor = reverse("audit:openings"), signed_in(Role.AUDITOR)
        auditor.get(address)
        with django_assert_num_queries(5):  # session, person, count, rows, who there is to choose
            assert b"3 openings" in auditor.get(address).content
        by = register.person(Role.COMPLIANCE).pk
        for asked, count in (({"paper": "pic-one"}, 2), ({"by": by}, 2), ({"paper": "one", "by": by}, 1),
                             ({"first": "2999-01-01"}, 0), ({"last": "2000-01-01"}, 0), ({"last": "9999-12-31"}, 3),
                             ({"first": "never"}, 3)):  # fmt: skip
            shown = auditor.get(address, asked)  # type: ignore[arg-type]
            assert len(shown.context["lines"]) == count, asked
            assert (b"Ask for less" in shown.content) == (not count), asked
        file = b"".join(auditor.get(reverse("audit:openings-csv"), {"by": by}).streaming_content).decode()  # type: ignore[attr-defined]
        assert len(file.splitlines()) == 3 and "PIC-TWO" in file

    @pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.CURATOR])
    def test_not_for_everybody(self, role: str) -> None:
        assert signed_in(role).get(reverse("audit:openings")).status_code == 403
