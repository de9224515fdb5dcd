"""The specimens of an answer as rows: a page of a group, and the files of all of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from django.db.models import F
from django.utils.translation import gettext as _

from governance.engine.tables import Verdict
from governance.engine.uses import MAY_GO
from governance.usedesk.models import RequestItem, UseRequest
from governance.usedesk.queries.groups import DeskAnswer, Group
from governance.usedesk.queries.shown import Reason, Sign, reasons
from governance.usedesk.words import ClauseQuote
from governance.verdicts.cells import Cell

SORTS: Final = {
    "added": ("pk",),
    "number": ("specimen__catalog_number", "pk"),
    "name": ("specimen__name__shown", "specimen__catalog_number", "pk"),
    "accession": ("specimen__accession__number", "specimen__catalog_number", "pk"),
    "footing": (F("specimen__standing__worst").desc(nulls_first=True), "specimen__catalog_number", "pk"),
    "decision": (F("decision__is_approved").asc(nulls_first=True), "pk"),
}
"""Orders of the specimens of a group."""

_AT_ONCE: Final = 2_000

HEADER: Final = (
    "catalogue number", "name", "accession", "taken from", "answer", "may go as asked", "decision", "why",
    "deciding papers", "clauses", "request", "asked on",
)  # fmt: skip


@dataclass(frozen=True)
class Row:
    """One specimen of a group with what decides of it, for one reader."""

    item: RequestItem
    sign: Sign
    reasons: Sequence[Reason]

    @property
    def footing(self) -> Cell | None:
        """The worst verdict that stands; None: not judged."""
        standing = getattr(self.item.specimen, "standing", None)
        return None if standing is None else Cell(Verdict(standing.worst))

    @property
    def more_reasons(self) -> int:
        """Beside the two that a list shows."""
        return max(0, len(self.reasons) - 2)

    @property
    def decision(self) -> str:
        return decision_words(self.item)


class ReasonsOf:
    """The reasons of the cases of an answer for one reader, each case told once."""

    def __init__(self, desk: DeskAnswer, user: Any) -> None:
        self._desk, self._user = desk, user
        self._told: dict[int, list[Reason]] = {}

    def case(self, specimen: int) -> int:
        return int(self._cases[self._desk.row_of[specimen]])

    @cached_property
    def _cases(self) -> list[int]:
        return [int(row) for row in self._desk.answers.case.tolist()]

    def of(self, specimen: int) -> list[Reason]:
        row = self.case(specimen)
        if row not in self._told:
            deciding = self._desk.answers.cases[row].deciding
            self._told[row] = reasons(dict.fromkeys(deciding, 1), self._desk, self._user)
        return self._told[row]


def ordered_ids(request: UseRequest, group: Group, sort: str) -> list[int]:
    """Keys of the specimens of a group in an order; a leading minus turns it."""
    columns = SORTS.get(sort.removeprefix("-"), SORTS["added"])
    rows = RequestItem.objects.filter(request=request).order_by(*columns)
    wanted = set(group.ids)
    found = rows.reverse() if sort.startswith("-") else rows
    return [pk for pk in found.values_list("specimen_id", flat=True) if pk in wanted]


def rows_of(request: UseRequest, ids: Sequence[int], desk: DeskAnswer, user: Any) -> list[Row]:
    """Rows of some specimens, in this order."""
    told, items = ReasonsOf(desk, user), _items(request, ids)
    return [Row(items[pk], Sign(desk.case_of(pk).word), told.of(pk)) for pk in ids if pk in items]


def _items(request: UseRequest, ids: Sequence[int]) -> Mapping[int, RequestItem]:
    rows = RequestItem.objects.filter(request=request, specimen__in=ids).select_related(
        "specimen__name", "specimen__accession", "specimen__parent", "specimen__standing", "decision"
    )
    return {row.specimen_id: row for row in rows}


def export_rows(request: UseRequest, ids: Sequence[int], desk: DeskAnswer, user: Any) -> Iterator[tuple[Any, ...]]:
    """All specimens with answer and reasons. Clauses of papers that the reader may not read are left out."""
    told = ReasonsOf(desk, user)
    for start in range(0, len(ids), _AT_ONCE):
        some = ids[start : start + _AT_ONCE]
        items = _items(request, some)
        for pk in some:
            if pk in items:
                yield _export_row(request, items[pk], desk, told.of(pk))


def _export_row(request: UseRequest, item: RequestItem, desk: DeskAnswer, told: Sequence[Reason]) -> tuple[Any, ...]:
    case, specimen = desk.case_of(item.specimen_id), item.specimen
    papers = dict.fromkeys(one.paper.reference for one in told if one.paper is not None)
    return (
        str(specimen), specimen.name.shown, specimen.accession.number, str(specimen.parent or ""),
        str(Sign(case.word).word), _("yes") if case.answer in MAY_GO else _("no"), decision_words(item),
        " ".join(one.sentence for one in told), "; ".join(papers),
        " | ".join(dict.fromkeys(_clause(quote) for one in told for quote in one.quotes if quote.text)),
        request.reference, request.asked_on,
    )  # fmt: skip


def _clause(quote: ClauseQuote) -> str:
    return f"{quote.reference}, {quote.place}: {quote.text}" if quote.place else f"{quote.reference}: {quote.text}"


def decision_words(item: RequestItem) -> str:
    """Whether somebody decided of it."""
    if item.decision is None:
        return _("undecided")
    return _("may go") if item.decision.is_approved else _("stays")
