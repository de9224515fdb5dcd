"""Scans with fewer pages than they say of themselves."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from governance.audit.asking import Cell, Column, ColumnKind
from governance.audit.questions.addresses import link, paper_link
from governance.audit.questions.quality.found import Fact, Found, FoundList
from governance.audit.questions.quality.rule import Cells, Rule
from governance.papers.models import PaperScan
from governance.scans.models import Scan, ScanPage
from governance.scans.queries.pages import Printed, missing_sentence
from governance.scans.queries.visible import opens


def _incomplete(_on: date) -> Found:
    """By the numbers printed on the pages of each scan: one query for them."""
    pages: dict[int, dict[int, Printed]] = defaultdict(dict)
    counts: dict[int, int] = {}
    printed = ScanPage.objects.filter(printed_of__isnull=False, scan__page_count__isnull=False)
    columns = ("scan", "scan__page_count", "number", "printed_page", "printed_of")
    for scan, count, number, page, of in printed.order_by("scan", "number").values_list(*columns):
        pages[scan][number], counts[scan] = Printed(number, page, of), count or 0
    told = ((scan, missing_sentence(_all_pages(known, counts[scan]))) for scan, known in pages.items())
    return FoundList([(scan, words) for scan, words in told if words])


def _all_pages(known: dict[int, Printed], count: int) -> list[Printed]:
    return [known.get(number, Printed(number, None, None)) for number in range(1, count + 1)]


def _incomplete_cells(facts: Sequence[Fact], reader: Any) -> list[Cells]:
    scans = Scan.objects.in_bulk([key for key, _words in facts])
    papers: dict[int, Cell] = {}
    filed = PaperScan.objects.filter(scan__in=scans, taken_off_at__isnull=True).select_related("paper")
    for one in filed.order_by("-pk"):
        papers[one.scan_id] = paper_link(one.paper)
    return [_row(scans[key], papers.get(key), words, reader) for key, words in facts]


def _row(scan: Scan, paper: Cell, words: str, reader: Any) -> Cells:
    """The name and the pages of a scan are for whoever may open it; that it lacks some is not."""
    is_open = reader is None or opens(reader, scan)
    name = scan.original_name if is_open else _("restricted")
    number, pages = link("scan", scan.pk, f"#{scan.pk}"), scan.page_count if is_open else None
    return number, name, paper, pages, words if is_open else ""


INCOMPLETE: Final = Rule(
    "quality-scan-pages", "scan", gettext_lazy("Which scans have fewer pages than they say themselves?"),
    gettext_lazy("Scans on which page numbers such as “page 2 of 5” are printed, and some of these pages lack."),
    (Column("scan", gettext_lazy("Scan"), ColumnKind.CODE), Column("name", gettext_lazy("Name")),
     Column("paper", gettext_lazy("Paper"), ColumnKind.CODE),
     Column("pages", gettext_lazy("Pages"), ColumnKind.NUMBER), Column("lacks", gettext_lazy("What lacks"))),
    _incomplete, _incomplete_cells,
    lambda n: ngettext("%(n)s scan has fewer pages than it says itself.",
                       "%(n)s scans have fewer pages than they say themselves.", n) % {"n": intcomma(n)},
    gettext_lazy("The page numbers that are printed on it."),
    (gettext_lazy("Scans whose words were not read, or that carry no page numbers, cannot be looked at."),),
)  # fmt: skip

RULES: Final = (INCOMPLETE,)
