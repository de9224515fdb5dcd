"""Rows of an answer by one of its columns, where they are few enough to be held at once."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final

from governance.audit.asking import Answer, Cell, Column, ColumnKind, Linked, ListedRows, Row, Rows
from governance.papers.countries import country_name

MOST_ORDERED: Final = 2_000
"""Rows that are held to be ordered, if the question has not listed them already."""


def can_order(rows: Rows) -> bool:
    """Whether people may choose the order; a million rows have that of their question."""
    return isinstance(rows, ListedRows) or len(rows) <= MOST_ORDERED


def ordered(answer: Answer, sort: str) -> Rows:
    """The rows by a column, ``-key`` from its end; a column that the answer has not leaves them in their order. What
    is blank stands last in both directions."""
    key, is_down = sort.removeprefix("-"), sort.startswith("-")
    place = next((place for place, column in enumerate(answer.columns) if column.key == key), None)
    if place is None or not can_order(answer.rows):
        return answer.rows
    filled: list[Row] = []
    blank: list[Row] = []
    for row in answer.rows:
        (blank if _value(row.cells[place]) in (None, "") else filled).append(row)
    filled.sort(key=lambda row: _rank(answer.columns[place], _value(row.cells[place])), reverse=is_down)
    return ListedRows([*filled, *blank])


def _value(cell: Cell) -> Any:
    return cell.value if isinstance(cell, Linked) else cell


def _rank(column: Column, value: Any) -> tuple[int, Any]:
    """Values of one kind among each other: a column of days may hold a year that is all that is known."""
    if column.kind is ColumnKind.COUNTRY:
        return 3, country_name(str(value)).casefold()
    if isinstance(value, int | float | Decimal):
        return 0, value
    if isinstance(value, datetime):
        return 2, value
    return (1, value) if isinstance(value, date) else (3, str(value).casefold())
