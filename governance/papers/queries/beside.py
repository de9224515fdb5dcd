"""The scan that stands beside a form, and what its words offer."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.http import QueryDict

from accessions.names.folding import folded
from accessions.names.models import Taxon, WrittenName
from governance.papers.models import Paper, PaperScan, PaperVersion
from governance.papers.offers import Offer, PageText, offers_in
from governance.papers.queries.paper_scans import scans_of_paper
from governance.scans.models import Scan
from governance.scans.queries.visible import may_open

MOST_PAGES: Final = 60
"""Pages whose words are offered at once: a whole box of papers in one file is first parted into its papers."""

_MOST_LETTERS: Final = 12_000
"""Of one page; a full page of small print has 8,000. What a stranger's file holds beyond is not looked through."""

_PAGES: Final = re.compile(r"(?P<first>[0-9]{1,6})(?:-(?P<last>[0-9]{1,6}))?")
_CAPITALISED: Final = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*")
_MOST_NAMES: Final = 8000


@dataclass(frozen=True)
class Beside:
    """A scan and the pages of it that are the paper. first, last: both None where all of it is. is_filed: it is filed
    with the paper already, whichever pages of it."""

    scan: Scan
    first: int | None
    last: int | None
    is_filed: bool
    is_open: bool

    @property
    def pages(self) -> tuple[int, int]:
        """First and last page in numbers."""
        return self.first or 1, self.last or self.scan.page_count or 1

    def of_paper(self, page: int) -> int:
        """The page of the paper that is a page of the scan."""
        return page - self.pages[0] + 1


def scan_beside(paper: Paper | None, user: Any, asked: QueryDict) -> Beside | None:
    """The scan that the address names (``scan=12&pages=3-7``), else the newest of the paper; None if there is none."""
    key = str(asked.get("scan", ""))
    if key.isascii() and key.isdigit() and len(key) < 10:
        scan = Scan.objects.filter(pk=int(key)).first()
        return _asked(scan, paper, user, asked.get("pages", "")) if scan else None
    shown = scans_of_paper(paper, user).shown if paper else None
    return Beside(shown.scan, shown.first_page, shown.last_page, True, may_open(user, shown.scan)) if shown else None


def _asked(scan: Scan, paper: Paper | None, user: Any, pages: str) -> Beside:
    standing = list(PaperScan.objects.filter(paper=paper, scan=scan, taken_off_at=None)) if paper else []
    first, last = pages_asked(pages, scan.page_count)
    if first is None and standing:
        first, last = standing[0].first_page, standing[0].last_page
    return Beside(scan, first, last, bool(standing), may_open(user, scan))


def pages_asked(text: str, page_count: int | None) -> tuple[int | None, int | None]:
    """``3-7`` or ``3``; what is no range of the scan is all of it, as is a range from its first page to its last."""
    match = _PAGES.fullmatch(text.strip())
    if not match or not page_count:
        return None, None
    first, last = int(match["first"]), int(match["last"] or match["first"])
    if not 1 <= first <= last <= page_count or (first, last) == (1, page_count):
        return None, None
    return first, last


def pages_of(version: PaperVersion | None) -> dict[str, int]:
    """By subject the page on which the readings of a version stand. One query."""
    return dict(version.reading_pages.values_list("subject", "page")) if version else {}


def offers_beside(beside: Beside | None) -> list[Offer]:
    """What the words of the pages offer; nothing of a scan that is not open to the reader. Three queries."""
    if beside is None or not beside.is_open:
        return []
    first, last = beside.pages
    rows = beside.scan.pages.filter(number__range=(first, min(last, first + MOST_PAGES - 1)))
    if beside.scan.page_count is None:
        rows = beside.scan.pages.all()[:MOST_PAGES]
    pages = [
        PageText(row.number, beside.of_paper(row.number), row.text[:_MOST_LETTERS], row.words)
        for row in rows
        if row.text
    ]
    return offers_in(pages, known_names(page.text for page in pages))


def known_names(texts: Iterable[str]) -> Mapping[str, str]:
    """Those names of the register that some texts hold: in small letters -> as written. Two queries."""
    held = {name for text in texts for name in _names_in(text)}
    some = sorted(held)[:_MOST_NAMES]
    if not some:
        return {}
    keys = {folded(name) for name in some}
    found = {
        shown.casefold(): shown for shown in WrittenName.objects.filter(shown__in=some).values_list("shown", flat=True)
    }
    return found | {
        name.casefold(): name for name in Taxon.objects.filter(key__in=keys).values_list("name", flat=True).distinct()
    }


def _names_in(text: str) -> set[str]:
    """One to three words from a word with a capital on: all that could be a name."""
    words = list(_CAPITALISED.finditer(text))
    return {
        " ".join(text[word.start() : words[number + more].end()].split())
        for number, word in enumerate(words)
        if word[0][0].isupper() and len(word[0]) > 2
        for more in range(min(3, len(words) - number))
    }
