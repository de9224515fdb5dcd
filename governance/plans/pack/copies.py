"""Copies of the papers: pages of their scans that the reader may open, few enough to carry; and what was left out."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from governance.papers.models import Paper, PaperScan
from governance.papers.printed.blocks import Block, Line, PageCopy, Para, Section, Ticks, plain
from governance.plans.pack.sources import PackSources
from governance.scans.drawing.kept import picture_path, problem_of
from governance.scans.drawing.pictures import draw, page_picture
from governance.scans.models import Scan
from governance.scans.queries.visible import may_open

MOST_PAGES: Final = 25
"""Pages of scans in a pack: what still goes into a bag, and through a mail."""

DRAWING_S: Final = 15.0
"""So long a pack waits for pages that have never been drawn; the rest is told as left out."""

COPY_WIDTH: Final = 1600
"""Pixels of a page in the pack: about 240 dots an inch on A4, so that small print and stamps can be read."""


@dataclass(frozen=True)
class Copies:
    """The section with its pages. copied: keys of the papers of which there is at least a page."""

    section: Section
    copied: frozenset[int]


def copies(src: PackSources, *, wanted: bool) -> Copies:
    """The newest scans of the papers, in the order of their numbers."""
    w = src.words
    if not wanted:
        return Copies(Section(w("copies"), [Para(plain(w("left_unasked")))], key="copies"), frozenset())
    pages, left = _chosen(src)
    blocks: list[Block] = [page for _paper, page in pages]
    if not pages:
        blocks.append(Para(plain(w("copies_none"))))
    sections = [Section(w("left_out"), [Ticks(left)], level=2)] if left else []
    copied = frozenset(paper.pk for paper, _page in pages)
    return Copies(Section(w("copies"), blocks, sections, new_page=True, key="copies"), copied)


def _chosen(src: PackSources) -> tuple[list[tuple[Paper, PageCopy]], list[Line]]:
    """Whole scans as long as they fit, and what does not go in, with the reason."""
    w, filed = src.words, _filed(src)
    pages: list[tuple[Paper, PageCopy]] = []
    left: list[Line] = []
    for paper in src.carried:
        if not src.may_read(paper):
            left.append(plain(w("left_restricted", reference=paper.reference)))
            continue
        if not filed[paper.pk]:
            left.append(plain(w("left_no_scan", reference=paper.reference)))
        for one in filed[paper.pk]:
            numbers = range(one.first_page or 1, (one.last_page or one.scan.page_count or 0) + 1)
            if not may_open(src.reader, one.scan):
                left.append(plain(w("left_restricted", reference=paper.reference)))
            elif not numbers:
                left.append(plain(w("left_undrawn", reference=paper.reference, page=1)))
            elif len(pages) + len(numbers) > MOST_PAGES:
                told = w("left_limit", reference=paper.reference, pages=len(numbers), limit=MOST_PAGES)
                left.append(plain(told))
            else:
                pages += [(paper, page) for page in _pages(paper, one.scan, numbers, src)]
    return pages, left


def _pages(paper: Paper, scan: Scan, numbers: range, src: PackSources) -> Iterator[PageCopy]:
    for place, number in enumerate(numbers, 1):
        caption = src.words("copy_of", reference=paper.reference, page=place, pages=len(numbers))
        yield PageCopy(caption, scan, number)


def _filed(src: PackSources) -> dict[int, list[PaperScan]]:
    """By paper its filings that stand and were not replaced by a later edition. One query."""
    rows = list(
        PaperScan.objects.filter(paper__in=list(src.papers), taken_off_at=None).select_related("scan").order_by("pk")
    )
    replaced = {row.replaces_id for row in rows}
    found: dict[int, list[PaperScan]] = defaultdict(list)
    for row in rows:
        if row.pk not in replaced:
            found[row.paper_id].append(row)
    return found


def pictures(pages: Sequence[PageCopy], within_s: float = DRAWING_S) -> dict[PageCopy, bytes | None]:
    """The pictures of pages, those of one scan drawn together; None where one cannot be had in time.

    Drawing stops before the next scan once the time is over; a scan whose turn came is drawn whole.
    """
    end = time.monotonic() + within_s
    of_scan: dict[int, list[PageCopy]] = defaultdict(list)
    for page in pages:
        of_scan[page.scan.pk].append(page)
    for several in of_scan.values():
        if time.monotonic() < end:
            draw(several[0].scan, sorted(page.number for page in several), COPY_WIDTH)
    return {page: _kept(page) for page in pages}


def _kept(page: PageCopy) -> bytes | None:
    if not picture_path(page.scan.sha256, page.number, COPY_WIDTH).exists():
        return None
    return page_picture(page.scan, page.number, COPY_WIDTH)


def is_undrawable(page: PageCopy) -> bool:
    """Whether it was tried and failed, rather than not reached in time."""
    return bool(problem_of(page.scan.sha256, page.number))
