"""The scans on the page of a paper, and the page that says which pages of a scan are which paper."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.papers.actions.scans import file_scan
from governance.papers.models import Paper, PaperScan
from governance.papers.queries.paper_scans import paper_choices, papers_in_scans, scans_of_paper
from governance.scans.actions.filing import file_scans
from governance.scans.models import Scan
from tests.factories import register, scans

pytestmark = pytest.mark.django_db


def client_of(role: str = Role.CURATOR) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def of(paper: Paper, role: str = Role.CURATOR, query: str = "") -> str:
    """The page of a paper."""
    return client_of(role).get(reverse("papers:paper", args=[paper.pk]) + query).content.decode()


def words(text: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", text).split())


def nine() -> Scan:
    return scans.scan(scans.pdf(9), page_count=9, original_name="permits.pdf")


class TestPaperPage:
    """Scan left, readings right."""

    def test_pane_opens_at_the_first_page_of_the_paper(self) -> None:
        paper = register.paper()
        file_scan(paper=paper, scan=nine(), first_page=4, last_page=6, by=register.person())
        text = of(paper)
        assert 'data-first="4" data-last="6"' in text
        assert "pages 4 to 6 of 9" in words(text)
        assert text.index('id="pane"') < text.index("What the register read")

    def test_another_scan_is_shown_when_asked_for(self) -> None:
        paper = register.paper()
        file_scan(paper=paper, scan=nine(), by=register.person())
        annex = scans.scan(scans.png(), original_name="annex.png")
        file_scan(paper=paper, scan=annex, by=register.person())
        key = PaperScan.objects.get(scan=annex).pk
        assert f'data-pane="{annex.pk}"' not in of(paper)
        assert f'data-pane="{annex.pk}"' in of(paper, query=f"?scan={key}")
        for nonsense in ("x", "0", "9" * 40):
            assert f'data-pane="{nine().pk}"' in of(paper, query=f"?scan={nonsense}")

    def test_newest_edition_is_shown(self) -> None:
        paper = register.paper()
        for pages in (1, 2):
            scan = scans.scan(scans.pdf(pages), page_count=pages, original_name="consent.pdf")
            file_scan(paper=paper, scan=scan, by=register.person())
        shown = scans_of_paper(paper, register.person()).shown
        assert shown is not None and shown.edition == 2

    def test_no_scan(self) -> None:
        text = of(register.paper())
        assert "No scan of this paper is on file" in text and 'id="pane"' not in text

    def test_restricted_paper_shows_nothing_of_its_scan(self) -> None:
        paper = register.paper(restricted_to=role_bits([Role.REGISTRAR]), restricted_why="consent of a community")
        scan = scans.scan(original_name="secret village.pdf")
        file_scan(paper=paper, scan=scan, by=register.person(Role.REGISTRAR))
        text = of(paper)
        assert "secret village" not in text and f"/scans/{scan.pk}/pages/" not in text
        assert "data-drop" not in text, "who may not read the paper files nothing under it"
        assert "secret village" in of(paper, Role.REGISTRAR)

    def test_restricted_scan_of_an_open_paper_is_there_and_says_no_more(self) -> None:
        paper = register.paper()
        scan = scans.scan(original_name="secret village.pdf")
        file_scan(paper=paper, scan=scan, by=register.person(Role.REGISTRAR))
        Scan.objects.update(restricted_to=role_bits([Role.REGISTRAR]))
        text = of(paper)
        assert "There is a scan of this paper. It is open to other roles than yours" in text
        assert "secret village" not in text and f"/scans/{scan.pk}/" not in text

    @pytest.mark.parametrize(("role", "may"), [(Role.CURATOR, True), (Role.VOLUNTEER, False), (Role.AUDITOR, False)])
    def test_who_may_drop(self, role: str, may: bool) -> None:
        assert ("data-drop" in of(register.paper(), role)) is may

    def test_drop(self) -> None:
        paper = register.paper()
        files = [SimpleUploadedFile("consent.pdf", scans.pdf(2))]
        client = client_of()
        answer = client.post(reverse("papers:paper-scans", args=[paper.pk]), {"files": files, "why": "mail"})
        assert answer["Location"] == reverse("papers:paper", args=[paper.pk])
        assert PaperScan.objects.get().filed_why == "mail"
        assert "consent.pdf: Filed." in words(client.get(answer["Location"]).content.decode())

    def test_list_is_two_queries(self, django_assert_num_queries: Any) -> None:
        paper, curator = register.paper(), register.person()
        for n in range(8):
            file_scan(paper=paper, scan=scans.scan(f"%PDF- {n}".encode(), original_name=f"{n}.pdf"), by=curator)
        with django_assert_num_queries(2):
            assert len(scans_of_paper(paper, curator).found.files) == 8

    def test_taken_off(self) -> None:
        paper = register.paper()
        file_scan(paper=paper, scan=nine(), by=register.person())
        address = reverse("papers:paper-scan-take-off", args=[PaperScan.objects.get().pk])
        assert "Take permits.pdf off COL-2024-052" in words(client_of().get(address).content.decode())
        assert client_of().post(address, {"why": ""}).status_code == 422
        assert client_of().post(address, {"why": "of another paper"}).status_code == 302
        text = words(of(paper))
        assert "1 taken off" in text and "of another paper" in text

    def test_taking_off_says_to_whom_it_opens(self) -> None:
        """Whoever takes a scan off a restricted paper opens it to others, and should know."""
        paper = register.paper(restricted_to=role_bits([Role.REGISTRAR]), restricted_why="consent of a community")
        file_scan(paper=paper, scan=nine(), by=register.person(Role.REGISTRAR))
        address = reverse("papers:paper-scan-take-off", args=[PaperScan.objects.get().pk])
        page = words(client_of(Role.REGISTRAR).get(address).content.decode())
        assert "It then opens to: Volunteer, Curator," in page
        assert client_of().get(address).status_code == 403


class TestRangesPage:
    """``/papers/scan-ranges/<scan>/``."""

    @staticmethod
    def send(scan: Scan, rows: list[tuple[str, str, str]], client: Client | None = None, **more: Any) -> Any:
        data = {"ranges-TOTAL_FORMS": str(len(rows)), "ranges-INITIAL_FORMS": "0"}
        for n, (paper, first, last) in enumerate(rows):
            data |= {f"ranges-{n}-paper": paper, f"ranges-{n}-first": first, f"ranges-{n}-last": last}
        standing = PaperScan.objects.filter(scan=scan, taken_off_at=None)
        data["seen"] = " ".join(str(key) for key in standing.values_list("pk", flat=True))
        return (client or client_of()).post(reverse("papers:scan-ranges", args=[scan.pk]), data | more)

    def test_five_papers_at_once_and_what_is_left(self) -> None:
        scan = nine()
        for n in range(3):
            register.paper(f"COL-2024-05{n}")
        rows = [("COL-2024-050", "1", "2"), ("", "", ""), ("COL-2024-051", "3", "3"), ("COL-2024-052", "6", "8")]
        assert self.send(scan, rows).status_code == 302
        page = words(client_of().get(reverse("papers:scan-ranges", args=[scan.pk])).content.decode())
        assert "Pages 4 to 5, 9 belong to no paper yet. 3 ranges are set." in page
        assert "Register a paper from pages 4 to 5" in page and "Register a paper from page 9" in page
        assert "3 COL-2024-051" in page and "4 no paper yet" in page

    def test_every_problem_at_once_beside_its_row(self) -> None:
        scan = nine()
        register.paper()
        rows = [("COL-2024-052", "4", "99"), ("NO-SUCH-1", "1", "2"), ("", "3", "3"), ("COL-2024-052", "x", "2")]
        answer = self.send(scan, rows)
        page = words(answer.content.decode())
        assert answer.status_code == 422
        assert "Row 1 : Pages 4 to 99: the scan has 9 pages." in page
        assert "Row 2 : The register has no paper NO-SUCH-1." in page
        assert "Row 3 : Which paper are these pages?" in page
        assert "Row 4 : Enter a whole number." in page
        assert not PaperScan.objects.exists()
        assert 'value="NO-SUCH-1"' in answer.content.decode(), "what was typed is kept"

    def test_overlap_is_asked_about(self) -> None:
        scan = nine()
        register.paper("COL-2024-052")
        register.paper("LND-2024-117")
        rows = [("COL-2024-052", "1", "4"), ("LND-2024-117", "4", "9")]
        answer = self.send(scan, rows)
        assert answer.status_code == 422
        assert "Page 4 would belong to LND-2024-117 and to COL-2024-052" in words(answer.content.decode())
        assert self.send(scan, rows, may_overlap="on").status_code == 302
        assert PaperScan.objects.count() == 2

    def test_cleared_row_takes_its_paper_off(self) -> None:
        scan = nine()
        file_scan(paper=register.paper(), scan=scan, first_page=1, last_page=2, by=register.person())
        self.send(scan, [("", "", "")], why="of another file")
        row = PaperScan.objects.get()
        assert row.taken_off_why == "of another file"

    def test_more_rows_keep_what_was_typed(self) -> None:
        answer = self.send(nine(), [("COL-2024-0", "1", "")], more_ranges="1")
        text = answer.content.decode()
        assert 'name="ranges-3-paper"' in text and 'value="COL-2024-0"' in text
        assert "Nothing was saved yet" not in text

    def test_rows_that_were_tampered_with(self) -> None:
        """The number of rows is a hidden box; without it nothing is saved, and that is said."""
        scan = nine()
        file_scan(paper=register.paper(), scan=scan, by=register.person())
        address = reverse("papers:scan-ranges", args=[scan.pk])
        for sent in ({}, {"ranges-TOTAL_FORMS": "x", "ranges-INITIAL_FORMS": "0"}):
            answer = client_of().post(address, sent)
            assert answer.status_code == 422
            assert "Nothing was saved yet" in words(answer.content.decode())
        assert PaperScan.objects.get().taken_off_at is None

    def test_somebody_was_quicker(self) -> None:
        scan = nine()
        paper = register.paper()
        file_scan(paper=paper, scan=scan, first_page=1, last_page=2, by=register.person())
        answer = self.send(scan, [("COL-2024-052", "1", "9")], seen="")
        assert answer.status_code == 422
        assert "Somebody else changed the pages of this scan" in words(answer.content.decode())
        again = re.search(r'name="seen" value="([^"]*)"', answer.content.decode())
        assert again and again[1] == str(PaperScan.objects.get().pk), "who has compared can save"

    def test_new_paper_from_pages(self) -> None:
        scan = nine()
        address = reverse("papers:scan-ranges", args=[scan.pk])
        answer = client_of().post(address, {"new_paper": "1", "first": "3", "last": "7"})
        assert answer["Location"] == f"{reverse('papers:paper-new')}?scan={scan.pk}&pages=3-7"
        for first, last in (("", ""), ("7", "3"), ("3", "10"), ("0", "2")):
            answer = client_of().post(address, {"new_paper": "1", "first": first, "last": last})
            assert answer.status_code == 422

    def test_closed_scan(self) -> None:
        scan = scans.scan(restricted_to=role_bits([Role.REGISTRAR]), original_name="secret village.pdf")
        answer = client_of().get(reverse("papers:scan-ranges", args=[scan.pk]))
        assert answer.status_code == 403 and "secret village" not in answer.content.decode()

    def test_file_without_pages(self) -> None:
        scan = scans.scan(b"From: a@b.example", page_count=None, media_type="message/rfc822", original_name="mail.eml")
        register.paper()
        page = client_of().get(reverse("papers:scan-ranges", args=[scan.pk]))
        assert "can only be filed as a whole" in words(page.content.decode())
        assert self.send(scan, [("COL-2024-052", "", "")]).status_code == 302

    def test_papers_of_the_accession_are_offered_first(self) -> None:
        scan, accession = nine(), register.accession()
        near = register.paper("AAA-1")
        register.paper("ZZZ-9")
        register.link(near, accession=accession)
        file_scans(scans=[scan], accession=accession, by=register.person())
        assert [paper.reference for paper in paper_choices(scan)] == ["AAA-1", "ZZZ-9"]

    def test_queries(self, django_assert_num_queries: Any) -> None:
        """Whatever the number of pages and papers: the session and its person, the scan, ranges, choices."""
        scan = scans.scan(scans.pdf(1, "sixty"), page_count=60)
        for n in range(6):
            paper = register.paper(f"COL-2024-05{n}")
            file_scan(paper=paper, scan=scan, first_page=n * 2 + 1, last_page=n * 2 + 2, by=register.person())
        client = client_of()
        with django_assert_num_queries(5):
            client.get(reverse("papers:scan-ranges", args=[scan.pk]))
        with django_assert_num_queries(1):
            assert len(papers_in_scans([scan.pk])[scan.pk]) == 6


def test_scan_page_names_its_papers() -> None:
    scan = nine()
    file_scan(paper=register.paper(), scan=scan, first_page=4, last_page=6, by=register.person())
    page = words(client_of().get(reverse("scans:scan", args=[scan.pk])).content.decode())
    assert re.search(r"Papers in this scan.*COL-2024-052.*pages 4 to 6", page)
