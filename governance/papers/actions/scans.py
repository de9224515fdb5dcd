"""Scans filed under papers, whole or by ranges of pages, and taken off again. Dated, never deleted.

A scan is as restricted as the strictest paper in it: whatever files or ends here keeps ``papers_restricted_to`` true.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, cast

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.announcing import announce
from accessions.people.history import record
from governance.papers.models import Paper, PaperScan
from governance.papers.page_ranges import PageRange, RangeProblem, problems_of
from governance.papers.queries.paper_scans import bits_of_papers
from governance.papers.restriction import check_readable, is_readable, restricted_words
from governance.scans.actions.dropping import Arrived, Drop, take_in
from governance.scans.editions import Standing
from governance.scans.filed import Filed, Outcome
from governance.scans.models import Scan
from governance.scans.queries.visible import check_open

__all__ = [
    "PageRange",
    "RangesChanged",
    "RangesRefused",
    "RangesSet",
    "file_drop",
    "file_scan",
    "refresh_restriction",
    "set_ranges",
    "take_off",
]

_WHY_LENGTH = 200


class RangesRefused(ValidationError):
    """Ranges that cannot be so; ``problems`` holds all of them, by row."""

    def __init__(self, problems: Sequence[RangeProblem]) -> None:
        self.problems = tuple(problems)
        super().__init__([problem.words for problem in problems])


class RangesChanged(Exception):
    """Somebody else said meanwhile which pages are which paper."""

    def __init__(self) -> None:
        super().__init__(_("Somebody else changed the pages of this scan while you wrote. Nothing of yours was saved; "
                           "compare, and save again."))  # fmt: skip


@dataclass(frozen=True)
class RangesSet:
    """How many papers got pages, and how many lost theirs."""

    added: int
    ended: int


def file_scan(*, paper: Paper, scan: Scan, first_page: int | None = None, last_page: int | None = None,
              name: str = "", by: Any, why: str = "") -> Filed:  # fmt: skip
    """File a scan, or a range of its pages, under a paper.

    Raises:
        NotAllowedError: the person may not file scans, or may not open the scan or the paper.
        RangesRefused: the pages cannot be so.
    """
    check(by, Verb.ATTACH_SCANS)
    check_open(by, scan)
    arrived = Arrived(scan, name or scan.original_name)
    with transaction.atomic():
        locked = Paper.objects.select_for_update().get(pk=paper.pk)
        standing = list(PaperScan.objects.filter(paper=locked, scan=scan, taken_off_at=None))
        same = next((one for one in standing if (one.first_page, one.last_page) == (first_page, last_page)), None)
        if same is not None:
            return Filed(arrived.name, Outcome.ALREADY, scan, same)
        ranges = [PageRange(locked, one.first_page, one.last_page) for one in standing]
        problems = problems_of([*ranges, PageRange(locked, first_page, last_page)], scan.page_count, may_overlap=True)
        if problems:
            raise RangesRefused(problems)
        return _file_all([arrived], locked, by, why, (first_page, last_page))[0]


def file_drop(*, paper: Paper, drop: Drop, by: Any, why: str = "") -> list[Filed]:
    """Receive the files of a drop and file the sound ones under a paper; what became of each, in their order."""
    check(by, Verb.ATTACH_SCANS)
    check_readable(paper, by)
    results = take_in(drop=drop, by=by, why=why)
    filed = iter(_file_all([one for one in results if isinstance(one, Arrived)], paper, by, why, (None, None)))
    return [next(filed) if isinstance(one, Arrived) else one for one in results]


def _file_all(
    arrived: Sequence[Arrived], paper: Paper, by: Any, why: str, pages: tuple[int | None, int | None]
) -> list[Filed]:
    with transaction.atomic():
        locked = Paper.objects.select_for_update().get(pk=paper.pk)
        check_readable(locked, by)
        there = Standing(PaperScan.objects.filter(paper=locked, taken_off_at=None).select_related("replaces"))
        filed = [_file(one, locked, there, by, why, pages) for one in arrived]
        for one in filed:
            if one.outcome is not Outcome.ALREADY and one.scan is not None:
                refresh_restriction(one.scan, by=by, why=why)
    return filed


def _file(one: Arrived, paper: Paper, there: Standing[PaperScan], by: Any, why: str,
          pages: tuple[int | None, int | None]) -> Filed:  # fmt: skip
    same = there.same_content(one.scan)
    if same is not None and pages[0] is None:
        return Filed(one.name, Outcome.ALREADY, one.scan, same, key=one.key)
    before = _edition_before(one.name, same, there)
    made = PaperScan.objects.create(
        paper=paper, scan=one.scan, name=one.name[:500], first_page=pages[0], last_page=pages[1], replaces=before,
        edition=before.edition + 1 if before else 1, filed_by=by, filed_why=why[:_WHY_LENGTH],
    )  # fmt: skip
    there.add(made)
    is_edition = before is not None and same is None
    return Filed(one.name, Outcome.EDITION if is_edition else Outcome.FILED, one.scan, made, one.was_known, key=one.key)


def _edition_before(name: str, same: PaperScan | None, there: Standing[PaperScan]) -> PaperScan | None:
    """Another range of a content that the paper has already is of the same edition."""
    return cast("PaperScan | None", same.replaces) if same else there.edition_before(name)


def set_ranges(*, scan: Scan, ranges: Sequence[PageRange], may_overlap: bool = False,
               seen: Iterable[int] | None = None, by: Any, why: str) -> RangesSet:  # fmt: skip
    """Say of all pages of a scan which paper they are, for all its papers at once: what is not among the ranges ends.

    Args:
        may_overlap: pages may belong to two papers.
        seen: keys of the standing filings that the writer saw; None skips the comparison.

    Raises:
        NotAllowedError: the person may not file scans, may not open this one, or would open it to more roles without
            the right to.
        RangesRefused: with every problem at once; nothing is written then.
        RangesChanged: somebody else was quicker.
    """
    check(by, Verb.ATTACH_SCANS)
    with transaction.atomic():
        _lock({one.paper.pk for one in ranges})
        locked = Scan.objects.select_for_update().get(pk=scan.pk)
        check_open(by, locked)
        standing = list(PaperScan.objects.filter(scan=locked, taken_off_at=None).select_related("paper"))
        if seen is not None and set(seen) != {one.pk for one in standing}:
            raise RangesChanged
        had = {(one.paper_id, one.first_page, one.last_page) for one in standing}
        problems = [
            *problems_of(ranges, locked.page_count, may_overlap=may_overlap),
            *_closed([(row, one) for row, one in enumerate(ranges) if one.key not in had], by),
        ]
        if problems:
            raise RangesRefused(sorted(problems, key=lambda problem: problem.row))
        wanted = {one.key for one in ranges}
        ended = [one for one in standing if (one.paper_id, one.first_page, one.last_page) not in wanted]
        _end(ended, by=by, why=why)
        added = [one for one in ranges if one.key not in had]
        for one in added:
            _add_range(locked, one, standing, by, why)
        if added or ended:
            refresh_restriction(locked, by=by, why=why)
    return RangesSet(len(added), len(ended))


def _lock(papers: Collection[int]) -> None:
    """So that nobody restricts one of them meanwhile; papers before scans, as everybody locks them."""
    list(Paper.objects.select_for_update().filter(pk__in=papers).order_by("pk").values_list("pk"))


def _closed(rows: Iterable[tuple[int, PageRange]], by: Any) -> list[RangeProblem]:
    return [
        RangeProblem(row, f"{one.paper}: {restricted_words(one.paper.restricted_to)}")
        for row, one in rows
        if not is_readable(one.paper, by)
    ]


def _add_range(scan: Scan, one: PageRange, standing: Sequence[PaperScan], by: Any, why: str) -> None:
    """A range that moved keeps its name and its edition: it is the same content."""
    same = next((filed for filed in standing if filed.paper_id == one.paper.pk), None)
    name = same.name if same else scan.original_name
    there = Standing(PaperScan.objects.filter(paper=one.paper, taken_off_at=None).exclude(scan=scan))
    before = _edition_before(name, same, there)
    PaperScan.objects.create(
        paper=one.paper, scan=scan, first_page=one.first, last_page=one.last, name=name, replaces=before,
        edition=before.edition + 1 if before else 1, filed_by=by, filed_why=why[:_WHY_LENGTH],
    )  # fmt: skip


def take_off(*, filed: PaperScan, by: Any, why: str) -> bool:
    """Take a scan off a paper; False if somebody has done so meanwhile. It stays on record.

    Raises:
        ValidationError: no reason was given.
        NotAllowedError: the person may not file scans, or may not open this one; or it would open to more roles, and
            the person may not open scans to roles.
    """
    check(by, Verb.ATTACH_SCANS)
    if not why.strip():
        raise ValidationError({"why": _("Say why it is taken off.")})
    with transaction.atomic():
        scan = Scan.objects.select_for_update().get(pk=filed.scan_id)
        check_open(by, scan)
        standing = PaperScan.objects.select_for_update().get(pk=filed.pk)
        if standing.taken_off_at is not None:
            return False
        _end([standing], by=by, why=why.strip())
        refresh_restriction(scan, by=by, why=why)
    return True


def _end(filings: Iterable[PaperScan], *, by: Any, why: str) -> None:
    keys = [one.pk for one in filings]
    PaperScan.objects.filter(pk__in=keys).update(
        taken_off_at=timezone.now(), taken_off_by=by, taken_off_why=why[:_WHY_LENGTH]
    )
    announce(PaperScan, keys, by=by)


def refresh_restriction(scan: Scan, *, by: Any = None, why: str = "") -> bool:
    """Keep a scan as restricted as the strictest of its papers; whether that changed anything.

    Inside the transaction of whatever filed it, took it off, or restricted a paper.

    Raises:
        NotAllowedError: it would open to more roles, which the person may not do.
    """
    locked = Scan.objects.select_for_update().get(pk=scan.pk)
    bits = scan.papers_restricted_to = bits_of_papers(locked)
    if bits == locked.papers_restricted_to:
        return False
    if by is not None and bits & ~locked.papers_restricted_to:
        check(by, Verb.RESTRICT)  # also by a reader of the paper, who would else show its pages to everybody
    locked.papers_restricted_to = bits
    record(
        locked, by=by, why=why or gettext_noop("a paper in it is open to other roles"), fields=["papers_restricted_to"]
    )
    return True
