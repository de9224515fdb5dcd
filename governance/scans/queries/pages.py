"""The pages of a scan: their words, and whether some are missing by what they say of themselves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.scans.models import Scan, ScanPage


def pages_with_words(scan: Scan, first: int | None = None, last: int | None = None) -> list[ScanPage]:
    """The pages of a range on which words were found, without where they stand. One query."""
    rows = scan.pages.exclude(text="").defer("words", "folded")
    if first is not None:
        rows = rows.filter(number__gte=first)
    if last is not None:
        rows = rows.filter(number__lte=last)
    return list(rows.order_by("number"))


@dataclass(frozen=True)
class Printed:
    """A page, and what is printed on it: page ``page`` of ``of``; both None if it says nothing."""

    number: int
    page: int | None
    of: int | None


def missing_pages(scan: Scan, first: int | None = None, last: int | None = None) -> str:
    """The pages that a range should hold by the page numbers printed on it, as a sentence; "" if none is missed.

    One query, unless the pages were prefetched.
    """
    start, end = first or 1, last or scan.page_count or 0
    told = [
        Printed(page.number, page.printed_page, page.printed_of)
        for page in _pages_of(scan)
        if start <= page.number <= end
    ]
    known = {page.number: page for page in told}
    return missing_sentence([known.get(number, Printed(number, None, None)) for number in range(start, end + 1)])


def _pages_of(scan: Scan) -> Iterator[ScanPage]:
    prefetched = getattr(scan, "_prefetched_objects_cache", {}).get("pages")
    yield from (
        prefetched if prefetched is not None else scan.pages.only("scan_id", "number", "printed_page", "printed_of")
    )


def missing_sentence(pages: Sequence[Printed]) -> str:
    """The same for pages in their order."""
    return " ".join(_sentence(of, missing) for of, missing in _missing(pages))


def _sentence(of: int, missing: list[int]) -> str:
    told = ngettext(
        "Page %(pages)s of %(of)s is missing, by the page numbers printed on the others.",
        "Pages %(pages)s of %(of)s are missing, by the page numbers printed on the others.",
        len(missing),
    )
    return told % {"pages": _listed(missing), "of": of}


def _listed(numbers: list[int]) -> str:
    if len(numbers) == 1:
        return str(numbers[0])
    return _("%(some)s and %(last)s") % {"some": ", ".join(map(str, numbers[:-1])), "last": numbers[-1]}


def _missing(pages: Sequence[Printed]) -> Iterator[tuple[int, list[int]]]:
    """For each document of the pages with gaps: of how many pages it is, and which are missed."""
    for document in _documents(pages):
        of = next(page.of for page in document if page.of)
        missing = _gaps(document, of)
        if missing:
            yield of, missing


def _documents(pages: Sequence[Printed]) -> list[list[Printed]]:
    """Pages that count together. A new count starts where another total is printed, or a number not above the last.

    Pages without a number stay with the count before them; those in front of the first count belong to it.
    """
    documents: list[list[Printed]] = []
    latest: Printed | None = None
    for page in pages:
        starts = page.page is not None and (latest is None or page.of != latest.of or page.page <= (latest.page or 0))
        if starts and latest is not None:
            documents.append([page])
        elif documents:
            documents[-1].append(page)
        else:
            documents = [[page]]
        if page.page is not None:
            latest = page
    return [document for document in documents if any(page.of for page in document)]


def _gaps(document: Sequence[Printed], of: int) -> list[int]:
    """Numbers that no page carries and no unnumbered page between its neighbours can stand for."""
    missing: list[int] = []
    before, unnumbered = 0, 0
    for page in [*document, Printed(0, of + 1, of)]:
        if page.page is None:
            unnumbered += 1
            continue
        expected = list(range(before + 1, page.page))
        if unnumbered < len(expected):
            missing += expected
        before, unnumbered = page.page, 0
    return missing
