"""Where papers say what they say: pages of their readings, conditions in their words, and the scans behind them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.audit.asking import Cell
from governance.audit.questions.addresses import scan_link
from governance.papers.models import Condition, Paper, PaperScan, PaperVersion, ReadingPage
from governance.papers.restriction import restricted_words
from governance.scans.queries.visible import may_open


@dataclass(frozen=True)
class WhereWritten:
    """By version its pages and conditions; by paper the newest of its scans that the reader may open. Of papers that
    are not open to the reader there is nothing in it."""

    open_papers: frozenset[int] = frozenset()
    pages_of: Mapping[int, list[tuple[str, int]]] = field(default_factory=dict)
    conditions_of: Mapping[int, list[Condition]] = field(default_factory=dict)
    scans: Mapping[int, PaperScan] = field(default_factory=dict)
    closed_scans: int = 0

    def pages(self, versions: Iterable[PaperVersion]) -> str:
        """ "valid p. 1, taxa p. 2"."""
        found = [row for version in versions for row in self.pages_of.get(version.pk, ())]
        return ", ".join(_("%(subject)s p. %(page)d") % {"subject": s, "page": p} for s, p in dict.fromkeys(found))

    def conditions(self, paper: Paper, versions: Iterable[PaperVersion]) -> str:
        """In the words of the paper; the line that says who may read it where the reader may not."""
        if paper.pk not in self.open_papers:
            return restricted_words(paper.restricted_to)
        found = [one for version in versions for one in self.conditions_of.get(version.pk, ())]
        return " | ".join(dict.fromkeys(_condition_words(one) for one in found))

    def scan(self, paper: Paper) -> Cell:
        """The scan at the first page that is this paper; None where there is none to open."""
        filed = self.scans.get(paper.pk)
        return scan_link(filed.scan, filed.page_of_scan(1) if filed.first_page else None) if filed else None

    @property
    def kept_back(self) -> tuple[str, ...]:
        if not self.closed_scans:
            return ()
        words = ngettext("%(n)d scan is restricted.", "%(n)d scans are restricted.", self.closed_scans)
        return (words % {"n": self.closed_scans},)


def _condition_words(condition: Condition) -> str:
    if not condition.page:
        return str(condition.text)
    return _("%(text)s (p. %(page)d)") % {"text": condition.text, "page": condition.page}


def where_written(papers: Collection[Paper], versions: Collection[PaperVersion], reader: Any) -> WhereWritten:
    """Three queries. papers, versions: such as the reader may read."""
    keys = {version.pk for version in versions}
    pages: dict[int, list[tuple[str, int]]] = defaultdict(list)
    for one in ReadingPage.objects.filter(version__in=keys).order_by("page", "subject"):
        pages[one.version_id].append((str(one.get_subject_display()).lower(), one.page))
    conditions: dict[int, list[Condition]] = defaultdict(list)
    for condition in Condition.objects.filter(version__in=keys).order_by("position", "pk"):
        conditions[condition.version_id].append(condition)
    scans: dict[int, PaperScan] = {}
    closed = 0
    filed = PaperScan.objects.filter(paper__in=[paper.pk for paper in papers], taken_off_at=None)
    for filing in filed.select_related("scan").order_by("pk"):
        if may_open(reader, filing.scan):
            scans[filing.paper_id] = filing
        else:
            closed += 1
    return WhereWritten(frozenset(paper.pk for paper in papers), pages, conditions, scans, closed)
