"""Scans of papers: whole and by pages, editions, restriction kept in step, who may."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile

from accessions.people.access import EVERY_ROLE, NotAllowedError, role_bits
from accessions.people.models import Role, User
from governance.papers.actions.scans import (
    RangesChanged,
    RangesRefused,
    file_drop,
    file_scan,
    refresh_restriction,
    set_ranges,
    take_off,
)
from governance.papers.models import Paper, PaperScan
from governance.papers.page_ranges import PageRange
from governance.scans.actions.dropping import Drop
from governance.scans.filed import Outcome
from governance.scans.models import Scan
from tests.factories import register, scans

pytestmark = pytest.mark.django_db

FEW = role_bits([Role.REGISTRAR, Role.COMPLIANCE])
"""Open to registrars and compliance officers."""


def curator() -> User:
    return register.person()


def sixty() -> Scan:
    """A scan of sixty pages; its content is not looked at here."""
    return scans.scan(scans.pdf(1, "sixty"), page_count=60, original_name="permits_2024.pdf")


def five() -> list[Paper]:
    return [register.paper(f"COL-2024-05{n}") for n in range(5)]


def restricted(reference: str = "COM-2024-007", bits: int = FEW) -> Paper:
    return register.paper(reference, restricted_to=bits, restricted_why="consent of a community")


def pages_of(scan: Scan) -> list[tuple[str, int | None, int | None]]:
    standing = PaperScan.objects.filter(scan=scan, taken_off_at=None).order_by("first_page", "pk")
    return list(standing.values_list("paper__reference", "first_page", "last_page"))


def test_one_scan_serves_five_papers() -> None:
    scan, papers = sixty(), five()
    ends = [(1, 8), (9, 20), (21, 21), (22, 40), (41, 60)]
    ranges = [PageRange(paper, *pages) for paper, pages in zip(papers, ends, strict=True)]
    done = set_ranges(scan=scan, ranges=ranges, by=curator(), why="read together")
    assert (done.added, done.ended) == (5, 0)
    assert pages_of(scan) == [(f"COL-2024-05{n}", *pages) for n, pages in enumerate(ends)]
    row = PaperScan.objects.get(paper=papers[0])
    assert (row.filed_by, row.filed_why, row.name, row.edition) == (curator(), "read together", "permits_2024.pdf", 1)


def test_only_what_changed_is_written() -> None:
    scan, (first, second, *_more) = sixty(), five()
    set_ranges(scan=scan, ranges=[PageRange(first, 1, 8), PageRange(second, 9, 20)], by=curator(), why="read")
    kept = PaperScan.objects.get(paper=first)
    done = set_ranges(
        scan=scan, ranges=[PageRange(first, 1, 8), PageRange(second, 9, 22)], by=curator(), why="two pages more"
    )
    assert (done.added, done.ended) == (1, 1)
    assert PaperScan.objects.get(paper=first) == kept
    ended, moved = PaperScan.objects.filter(paper=second).order_by("pk")
    assert (ended.taken_off_why, ended.taken_off_by, ended.last_page) == ("two pages more", curator(), 20)
    assert (moved.last_page, moved.edition, moved.replaces) == (22, 1, None), "other pages are no other edition"


def test_nothing_is_written_if_anything_is_wrong() -> None:
    scan, (first, second, third, *_more) = sixty(), five()
    wrong = [PageRange(first, 1, 61), PageRange(second, 9, 8), PageRange(third, 22, 30)]
    with pytest.raises(RangesRefused) as refused:
        set_ranges(scan=scan, ranges=wrong, by=curator(), why="read")
    assert [problem.row for problem in refused.value.problems] == [0, 1]
    assert pages_of(scan) == []


def test_overlap_only_when_said() -> None:
    scan, (first, second, *_more) = sixty(), five()
    both = [PageRange(first, 1, 8), PageRange(second, 8, 20)]
    with pytest.raises(RangesRefused, match="Page 8 would belong to"):
        set_ranges(scan=scan, ranges=both, by=curator(), why="read")
    set_ranges(scan=scan, ranges=both, may_overlap=True, by=curator(), why="a letter for both")
    assert len(pages_of(scan)) == 2


def test_second_writer_is_told() -> None:
    """Two people have the page open; the second would end what the first has just written."""
    scan, (first, second, *_more) = sixty(), five()
    set_ranges(scan=scan, ranges=[PageRange(first, 1, 8)], seen=[], by=curator(), why="read")
    with pytest.raises(RangesChanged, match="Somebody else changed"):
        set_ranges(scan=scan, ranges=[PageRange(second, 1, 8)], seen=[], by=curator(), why="read")
    assert pages_of(scan) == [(first.reference, 1, 8)]


def test_pages_count_from_the_first_of_the_range() -> None:
    """A condition on page 3 of a paper that begins on page 9 stands on page 11 of the scan: 9 + 3 - 1."""
    scan, paper = sixty(), register.paper()
    file_scan(paper=paper, scan=scan, first_page=9, last_page=20, by=curator())
    assert PaperScan.objects.get().page_of_scan(3) == 11
    assert PaperScan(first_page=None).page_of_scan(3) == 3


class TestFiling:
    """One scan under one paper."""

    def test_editions(self) -> None:
        paper = register.paper()
        first = scans.scan(scans.pdf(1), original_name="consent.pdf")
        second = scans.scan(scans.pdf(2), original_name="Consent.pdf")
        file_scan(paper=paper, scan=first, by=curator())
        done = file_scan(paper=paper, scan=second, by=curator(), why="signed copy")
        assert done.outcome is Outcome.EDITION
        row = PaperScan.objects.get(scan=second)
        assert (row.edition, row.replaces.scan, row.filed_why) == (2, first, "signed copy")  # type: ignore[union-attr]

    def test_same_again(self) -> None:
        paper, scan = register.paper(), sixty()
        for pages in ((None, None), (None, None)):
            done = file_scan(paper=paper, scan=scan, first_page=pages[0], last_page=pages[1], by=curator())
        assert done.outcome is Outcome.ALREADY
        with pytest.raises(RangesRefused, match="already in another row"):
            file_scan(paper=paper, scan=scan, first_page=1, last_page=2, by=curator())
        assert PaperScan.objects.count() == 1

    def test_two_ranges_of_one_scan_are_no_editions(self) -> None:
        paper, scan = register.paper(), sixty()
        file_scan(paper=paper, scan=scan, first_page=1, last_page=2, by=curator())
        done = file_scan(paper=paper, scan=scan, first_page=9, last_page=9, by=curator())
        assert done.outcome is Outcome.FILED
        assert set(PaperScan.objects.values_list("edition", flat=True)) == {1}

    def test_pages_beyond_the_end(self) -> None:
        with pytest.raises(RangesRefused, match="the scan has 60 pages"):
            file_scan(paper=register.paper(), scan=sixty(), first_page=60, last_page=61, by=curator())
        assert not PaperScan.objects.exists()

    def test_drop(self) -> None:
        files = [SimpleUploadedFile("a.pdf", scans.pdf(1)), SimpleUploadedFile("empty.pdf", b"")]
        done = file_drop(paper=register.paper(), drop=Drop(files=files), by=curator(), why="mail")
        assert [one.outcome for one in done] == [Outcome.FILED, Outcome.REFUSED]
        assert PaperScan.objects.get().filed_why == "mail"

    def test_taken_off(self) -> None:
        paper, scan = register.paper(), sixty()
        file_scan(paper=paper, scan=scan, by=curator())
        row = PaperScan.objects.get()
        with pytest.raises(ValidationError, match="Say why"):
            take_off(filed=row, by=curator(), why=" ")
        assert take_off(filed=row, by=curator(), why="of another paper") is True
        assert take_off(filed=row, by=curator(), why="again") is False
        row.refresh_from_db()
        assert (row.taken_off_by, row.taken_off_why) == (curator(), "of another paper")


class TestRestriction:
    """A scan is as restricted as the strictest paper in it."""

    def test_filing_closes_and_taking_off_opens(self) -> None:
        registrar, scan = register.person(Role.REGISTRAR), sixty()
        file_scan(paper=register.paper(), scan=scan, first_page=1, last_page=2, by=curator())
        scan.refresh_from_db()
        assert scan.open_to == EVERY_ROLE
        file_scan(paper=restricted(), scan=scan, first_page=3, last_page=4, by=registrar)
        scan.refresh_from_db()
        assert scan.open_to == FEW
        newest = scan.history.first()
        assert (newest.history_user, newest.papers_restricted_to) == (registrar, FEW)
        take_off(filed=PaperScan.objects.get(first_page=3), by=registrar, why="of another scan")
        scan.refresh_from_db()
        assert scan.open_to == EVERY_ROLE

    def test_two_restricted_papers_leave_who_may_both(self) -> None:
        registrar, scan = register.person(Role.REGISTRAR), sixty()
        other = restricted("COM-2024-008", role_bits([Role.REGISTRAR, Role.CURATOR]))
        ranges = [PageRange(restricted(), 1, 2), PageRange(other, 3, 4)]
        set_ranges(scan=scan, ranges=ranges, by=registrar, why="read")
        scan.refresh_from_db()
        assert scan.papers_restricted_to == role_bits([Role.REGISTRAR])

    def test_paper_that_is_restricted_later(self) -> None:
        """What restricts a paper calls this for each of its scans."""
        scan, paper = sixty(), register.paper()
        file_scan(paper=paper, scan=scan, by=curator())
        Paper.objects.filter(pk=paper.pk).update(restricted_to=FEW, restricted_why="prices")
        scan.refresh_from_db()
        assert refresh_restriction(scan, by=register.person(Role.REGISTRAR), why="prices") is True
        assert refresh_restriction(scan, by=register.person(Role.REGISTRAR), why="prices") is False
        assert Scan.objects.get().papers_restricted_to == FEW

    def test_who_may_not_read_a_paper_files_nothing_under_it(self) -> None:
        paper, scan = restricted(), sixty()
        with pytest.raises(NotAllowedError, match="COM-2024-007"):
            file_scan(paper=paper, scan=scan, by=curator())
        with pytest.raises(NotAllowedError, match="registrars and compliance officers"):
            file_drop(paper=paper, drop=Drop(files=[SimpleUploadedFile("a.pdf", scans.pdf(1))]), by=curator())
        with pytest.raises(RangesRefused, match="COM-2024-007: Restricted: open to"):
            set_ranges(scan=scan, ranges=[PageRange(paper, 1, 2)], by=curator(), why="read")
        assert not PaperScan.objects.exists()

    def test_who_may_not_open_a_scan_cannot_open_it_by_taking_it_off(self) -> None:
        scan = sixty()
        file_scan(paper=restricted(), scan=scan, by=register.person(Role.REGISTRAR))
        row = PaperScan.objects.get()
        with pytest.raises(NotAllowedError):
            take_off(filed=row, by=curator(), why="let me see")
        with pytest.raises(NotAllowedError):
            set_ranges(scan=scan, ranges=[], by=curator(), why="let me see")
        assert Scan.objects.get().open_to == FEW

    def test_who_may_read_it_and_not_restrict_does_not_open_it_to_others(self) -> None:
        """To open a scan to more roles is for registrars and compliance officers (VERBS_OF_ROLE), reader or not."""
        paper, scan = restricted(bits=role_bits([Role.REGISTRAR, Role.CURATOR])), sixty()
        file_scan(paper=paper, scan=scan, by=curator())
        closed_to = Scan.objects.get().open_to
        with pytest.raises(NotAllowedError, match="open or close papers and scans to roles"):
            take_off(filed=PaperScan.objects.get(), by=curator(), why="of another paper")
        with pytest.raises(NotAllowedError, match="open or close papers and scans to roles"):
            set_ranges(scan=scan, ranges=[PageRange(register.paper(), 1, 2)], by=curator(), why="read again")
        assert PaperScan.objects.get().taken_off_at is None
        assert Scan.objects.get().open_to == closed_to == role_bits([Role.REGISTRAR, Role.CURATOR])
