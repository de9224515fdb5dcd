"""The search over the words of all scans that a person may open. What they may not open is not even counted."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db import connection
from django.db.models import BooleanField, Count, F, Q, QuerySet
from django.db.models.expressions import RawSQL
from django.urls import reverse

from accessions.people.access import EVERY_ROLE, role_bits
from governance.scans import words_index
from governance.scans.models import Filing, Scan, ScanPage
from governance.scans.pane import boxes_text
from governance.scans.reading.wanted import Hit, Phrase, Piece, hits, snippet

PAGES_SHOWN: Final = 3
"""Pages of a scan in the list; all of them when one scan is asked for."""

PAGES_OF_ONE: Final = 200
_MOST_BOXES: Final = 40


@dataclass(frozen=True)
class PageHit:
    """A page with the words: a snippet, and the address at which it opens with them marked. pieces: none of a
    restricted scan."""

    number: int
    pieces: Sequence[Piece]
    href: str
    source: str


@dataclass(frozen=True)
class ScanHits:
    """A scan with its pages that hold the words. more: so many pages are not shown."""

    scan: Scan
    pages: Sequence[PageHit]
    page_count: int
    filings: Sequence[Filing]

    @property
    def more(self) -> int:
        return self.page_count - len(self.pages)

    @property
    def is_restricted(self) -> bool:
        return _is_restricted(self.scan)


def _is_restricted(scan: Scan) -> bool:
    return bool(scan.open_to != EVERY_ROLE)


def open_to(user: Any) -> QuerySet[Scan]:
    """Scans that a person may open."""
    both = F("restricted_to").bitand(F("papers_restricted_to"))  # type: ignore[arg-type]  # columns are taken, too
    return Scan.objects.annotate(bits=both.bitand(role_bits([user.role]))).filter(bits__gt=0)


def matching(wanted: Sequence[Phrase]) -> QuerySet[ScanPage]:
    """Pages that hold all of it; none if nothing is asked. The one place where the two databases differ."""
    if not wanted:
        return ScanPage.objects.none()
    pages = ScanPage.objects.all()
    if not words_index.exists(connection):
        return pages.filter(*(Q(folded__contains=phrase.folded) for phrase in wanted))
    if connection.vendor == "postgresql":
        asked = RawSQL(f"{words_index.POSTGRES_WORDS} @@ %s::tsquery", [_tsquery(wanted)], output_field=BooleanField())
        return pages.filter(asked, *(Q(folded__contains=phrase.folded) for phrase in wanted if len(phrase.words) > 1))
    return pages.filter(_on_sqlite(wanted))


def _on_sqlite(wanted: Sequence[Phrase]) -> RawSQL:
    """The "+" keeps SQLite from fetching every page that fits by its key: behind their long texts that takes seconds
    for a common word. It goes through the short index of scans and numbers instead."""
    table = words_index.TABLE
    together = [phrase.folded for phrase in wanted if len(phrase.words) > 1]
    rows = f"SELECT rowid FROM {table} WHERE {table} MATCH %s" + " AND instr(folded, %s) > 0" * len(together)
    asked = f'+"{ScanPage._meta.db_table}"."id" IN ({rows})'
    return RawSQL(asked, [_fts(wanted), *together], output_field=BooleanField())


def _fts(wanted: Iterable[Phrase]) -> str:
    return " AND ".join(f'"{word}"{" *" if is_begun else ""}' for word, is_begun in _words(wanted))


def _tsquery(wanted: Iterable[Phrase]) -> str:
    return " & ".join(f"'{word}'{':*' if is_begun else ''}" for word, is_begun in _words(wanted))


def _words(wanted: Iterable[Phrase]) -> list[tuple[str, bool]]:
    """Every word once, and whether it is a beginning. They are letters and digits alone, so none can be an operator."""
    found = [
        (word, phrase.is_begun and place == len(phrase.words))
        for phrase in wanted
        for place, word in enumerate(phrase.words, start=1)
    ]
    return list(dict.fromkeys(found))


def scans_with(wanted: Sequence[Phrase], user: Any, scan: int | None = None) -> Any:
    """Scans that have such pages, the newest first, each with the number of those pages; one row a scan, to be paged.

    scan: only this one.
    """
    pages = matching(wanted).filter(scan__in=open_to(user).values("pk"))
    if scan is not None:
        pages = pages.filter(scan=scan)
    return pages.order_by().values("scan").annotate(page_count=Count("pk")).order_by("-scan")


def scan_hits(rows: Sequence[dict[str, int]], wanted: Sequence[Phrase], most_pages: int) -> list[ScanHits]:
    """What the list shows of some rows of ``scans_with``; four queries, however many they are.

    Of a restricted scan it tells on which pages the words stand, and none of the words around them: these are for
    whoever opens it, which is noted.
    """
    keys = [row["scan"] for row in rows]
    scans = Scan.objects.in_bulk(keys)
    pages = _pages(keys, wanted, most_pages)
    filings = _filings(keys)
    return [
        ScanHits(
            scans[key], [_page_hit(page, scans[key], wanted) for page in pages[key]], row["page_count"], filings[key]
        )
        for key, row in zip(keys, rows, strict=True)
    ]


def _pages(scans: Collection[int], wanted: Sequence[Phrase], most: int) -> dict[int, list[ScanPage]]:
    """The first pages of each scan. The large columns are read of those alone."""
    shown: dict[int, list[int]] = {scan: [] for scan in scans}
    numbers = matching(wanted).filter(scan__in=scans).order_by("scan", "number").values_list("scan", "pk")
    for scan, page in numbers:
        if len(shown[scan]) < most:
            shown[scan].append(page)
    every = [page for pages in shown.values() for page in pages]
    found = ScanPage.objects.defer("folded").in_bulk(every)
    return {scan: [found[page] for page in pages if page in found] for scan, pages in shown.items()}


def _filings(scans: Collection[int]) -> dict[int, list[Filing]]:
    found: dict[int, list[Filing]] = {scan: [] for scan in scans}
    rows = Filing.objects.filter(scan__in=scans, taken_off_at=None).select_related("accession", "site").order_by("pk")
    for filing in rows:
        found[filing.scan_id].append(filing)
    return found


def _page_hit(page: ScanPage, scan: Scan, wanted: Sequence[Phrase]) -> PageHit:
    found = hits(page.text, wanted)
    marked = boxes_text(boxes(page.words, found))
    address = f"{reverse('scans:scan', args=[page.scan_id])}?page={page.number}"
    href = f"{address}&mark={marked}#pane" if marked else f"{address}#pane"
    pieces = () if _is_restricted(scan) else snippet(page.text, found)
    return PageHit(page.number, pieces, href, page.source)


def boxes(words: Sequence[Sequence[Any]], found: Sequence[Hit]) -> list[tuple[float, float, float, float]]:
    """Where on the page the hits stand. Words of one hit that stand side by side share a box."""
    marked: list[tuple[float, float, float, float]] = []
    for hit in found:
        sides = [word[2:6] for word in words if word[0] < hit.end and word[1] > hit.start]
        marked += _joined(sides)
        if len(marked) >= _MOST_BOXES:
            break
    return list(dict.fromkeys(marked))[:_MOST_BOXES]


def _joined(sides: Sequence[Sequence[float]]) -> list[tuple[float, float, float, float]]:
    rows: list[list[float]] = []
    for left, top, right, bottom in sides:
        last = rows[-1] if rows else None
        if last and left >= last[0] and top < (last[1] + last[3]) / 2 < bottom:
            last[:] = [last[0], min(last[1], top), max(last[2], right), max(last[3], bottom)]
        else:
            rows.append([left, top, right, bottom])
    return [(row[0], row[1], row[2], row[3]) for row in rows]


@dataclass(frozen=True)
class Unread:
    """Scans that the person may open and whose words cannot be found: those that wait, and those that were not read."""

    waiting: int
    not_read: int


def unread(user: Any) -> Unread:
    """One query."""
    states = Scan.TextState
    rows = open_to(user).filter(text_state__in=[states.WAITING, states.NO_READER, states.FAILED])
    counts = dict(rows.order_by().values_list("text_state").annotate(Count("pk")))
    waiting = counts.pop(states.WAITING, 0)
    return Unread(waiting, sum(counts.values()))
