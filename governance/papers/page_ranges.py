"""Which pages of a scan are which paper: ranges held against each other, and what they leave over."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from governance.papers.models import Paper


@dataclass(frozen=True)
class PageRange:
    """Pages of a scan that are one paper; both count, from 1. Both None: all of the scan."""

    paper: Paper
    first: int | None = None
    last: int | None = None

    @property
    def key(self) -> tuple[int, int | None, int | None]:
        """What tells ranges apart."""
        return self.paper.pk, self.first, self.last

    def within(self, page_count: int) -> tuple[int, int]:
        """First and last page in numbers."""
        return self.first or 1, self.last or page_count


@dataclass(frozen=True)
class RangeProblem:
    """One problem. row: position of the range in the list, from 0."""

    row: int
    words: str
    is_overlap: bool = False


def problems_of(ranges: Sequence[PageRange], page_count: int | None, *, may_overlap: bool) -> list[RangeProblem]:
    """All that is wrong with these ranges of a scan.

    Args:
        page_count: None for what has no pages: then only the whole can be a paper.
        may_overlap: pages may belong to two papers, such as a letter that answers two applications.
    """
    found = [problem for row, one in enumerate(ranges) for problem in _alone(row, one, page_count)]
    if not found and page_count is not None:
        found = list(_together(ranges, page_count, may_overlap))
    return sorted(found, key=lambda problem: problem.row)


def _alone(row: int, one: PageRange, page_count: int | None) -> Iterator[RangeProblem]:
    if one.first is None and one.last is None:
        return
    if page_count is None:
        yield RangeProblem(row, _("The file has no pages that can be counted: leave both boxes blank for all of it."))
    elif one.first is None or one.last is None:
        yield RangeProblem(row, _("Write the first and the last page, or leave both blank for the whole scan."))
    elif not 1 <= one.first <= one.last:
        words = _("Pages %(first)d to %(last)d: the last page is before the first. The first page of a scan is 1.")
        yield RangeProblem(row, words % {"first": one.first, "last": one.last})
    elif one.last > page_count:
        words = _("Pages %(first)d to %(last)d: the scan has %(count)d pages.")
        yield RangeProblem(row, words % {"first": one.first, "last": one.last, "count": page_count})


def _together(ranges: Sequence[PageRange], page_count: int, may_overlap: bool) -> Iterator[RangeProblem]:
    for row, one in enumerate(ranges):
        for other in ranges[:row]:
            first = max(one.within(page_count)[0], other.within(page_count)[0])
            last = min(one.within(page_count)[1], other.within(page_count)[1])
            if first > last:
                continue
            if one.paper == other.paper:
                words = _("%(paper)s has %(pages)s already in another row: make one range of them.")
                yield RangeProblem(row, words % {"paper": one.paper, "pages": pages_words(first, last)})
            elif not may_overlap:
                words = _("%(pages)s would belong to %(paper)s and to %(other)s. Correct the pages, or tick that pages "
                          "may belong to two papers.")  # fmt: skip
                told = {"pages": pages_words(first, last), "paper": one.paper, "other": other.paper}
                yield RangeProblem(row, words % told, is_overlap=True)


def pages_words(first: int, last: int) -> str:
    """``Page 3``, or ``Pages 3 to 7``."""
    if first == last:
        return _("Page %(n)d") % {"n": first}
    return _("Pages %(first)d to %(last)d") % {"first": first, "last": last}


def uncovered(ranges: Sequence[tuple[int, int]], page_count: int) -> list[tuple[int, int]]:
    """Runs of pages that no range takes, as (first, last).

    >>> uncovered([(1, 2), (5, 6)], 8)
    [(3, 4), (7, 8)]
    >>> uncovered([], 3)
    [(1, 3)]
    """
    free, start = [], 1
    for first, last in sorted(ranges):
        if first > start:
            free.append((start, first - 1))
        start = max(start, last + 1)
    if start <= page_count:
        free.append((start, page_count))
    return free


def free_words(free: Sequence[tuple[int, int]]) -> str:
    """``Pages 1, 6 to 9 belong to no paper yet.``; "" where nothing is left over."""
    if not free:
        return ""
    if len(free) == 1 and free[0][0] == free[0][1]:
        return _("Page %(n)d belongs to no paper yet.") % {"n": free[0][0]}
    runs = [str(first) if first == last else _("%(first)d to %(last)d") % {"first": first, "last": last}
            for first, last in free]  # fmt: skip
    return _("Pages %(runs)s belong to no paper yet.") % {"runs": ", ".join(runs)}
