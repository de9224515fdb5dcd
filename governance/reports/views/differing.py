"""Differences in words, for pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from governance.reports.contents import Column
from governance.reports.naming import cells_of, column_name, table_name, words
from governance.reports.queries.differences import Differences, TableDifference
from governance.reports.tables import COLUMNS

_PARTS = {
    "facts": _("Facts on the first page"), "notes": _("Notes"), "disclosure": _("What is kept back"),
    "parts": _("Parts"), "texts": _("Texts that people wrote"), "subject": _("What it is about"),
    "period": _("Period"), "map": _("Map"),
}  # fmt: skip


@dataclass(frozen=True)
class ShownTable:
    """A table that differs, in words. added, gone: cells of rows; changed: name of the row, and column, before, after
    of each change."""

    name: str
    told: TableDifference
    heads: Sequence[str]
    added: Sequence[Sequence[tuple[str, str]]]
    gone: Sequence[Sequence[tuple[str, str]]]
    changed: Sequence[tuple[str, Sequence[tuple[str, str, str]]]]


@dataclass(frozen=True)
class Shown:
    """All that differs, in words. figures: sentence, before, after. others: parts that differ beside figures, rows."""

    figures: Sequence[tuple[str, Any, Any]]
    tables: Sequence[ShownTable]
    others: Sequence[Any]


def shown_differences(told: Differences) -> Shown:
    """Differences as the page shows them."""
    figures = [(words().figure(one.key), one.before, one.after) for one in told.figures]
    return Shown(figures, [_table(one) for one in told.tables], [_PARTS.get(name, name) for name in told.words])


def _table(told: TableDifference) -> ShownTable:
    known = {column.key: column for column in COLUMNS.get(told.key, ())}
    columns = [known.get(key, Column(key)) for key in told.columns]
    changed = [
        (", ".join(str(part) for part in one.name if part not in (None, "")), _cells(known, one.cells))
        for one in told.changed_rows
    ]
    return ShownTable(
        table_name(told.key), told, [column_name(key) for key in told.columns],
        [cells_of(columns, row) for row in told.added_rows], [cells_of(columns, row) for row in told.gone_rows],
        changed,
    )  # fmt: skip


def _cells(known: Any, cells: Any) -> list[tuple[str, str, str]]:
    told = words()
    return [
        (column_name(key), told.value(known.get(key, Column(key)), was), told.value(known.get(key, Column(key)), now))
        for key, was, now in cells
    ]
