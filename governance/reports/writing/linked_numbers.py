"""Numbers in the rows of a table that rows of another table make: those of which specimens, by entry or by name."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from governance.reports.contents import ROWS, SUM, Proof, Row, TableData, Value
from governance.reports.writing.pen import Pen
from governance.reports.writing.summaries import by_columns

_FIXED: Final[Mapping[str, Value]] = {"in_period": "in", "taken_from": ""}
"""Columns of which one value is meant; others have that of the row."""

_OF_ENTRY: Final = (("used", ("entry",), ROWS),)
_SPECIMENS: Final = (
    ("material", ("taxon",), ROWS), ("material", ("taxon", "site"), ROWS),
    ("material", ("taxon", "taken_from"), ROWS), ("material", ("taxon", "site", "taken_from"), ROWS),
)  # fmt: skip
_INDIVIDUALS: Final = (
    ("material", ("taxon",), f"{SUM}individuals"), ("material", ("taxon", "in_period"), f"{SUM}individuals"),
)  # fmt: skip
_OF_SITE: Final = (("material", ("taxon", "site"), f"{SUM}individuals"),)

_MADE_OF: Final[Mapping[tuple[str, str], tuple[tuple[str, tuple[str, ...], str], ...]]] = {
    ("movements", "specimens"): _OF_ENTRY, ("uses", "specimens"): _OF_ENTRY, ("publications", "specimens"): _OF_ENTRY,
    ("taken", "taken"): _INDIVIDUALS, ("taken", "removed"): _INDIVIDUALS,
    ("species", "specimens"): _SPECIMENS, ("species", "individuals"): (*_INDIVIDUALS, *_OF_SITE),
}  # fmt: skip
"""By table and column, of which rows a number may be made: table, columns that agree, measure."""


def rows_of_number(pen: Pen, table: TableData, column: str, row: Row) -> Proof | None:
    """The rows that make a number of a row; None where no rows make just this number, so that none proves another."""
    value = str(row[table.place(column)])
    for key, columns, measure in _MADE_OF.get((table.key, column), ()):
        where = {one: _FIXED[one] if one in _FIXED else row[table.place(one)] for one in columns}
        if _numbers(pen, key, columns, measure).get(tuple(where.values())) == value:
            return Proof(key, where, measure)
    return None


def _numbers(pen: Pen, key: str, columns: tuple[str, ...], measure: str) -> Mapping[tuple[Value, ...], str]:
    """The numbers of a table by the values of columns, counted once."""

    def counted() -> Mapping[tuple[Value, ...], str]:
        table = pen.table(key)
        if table is None or not pen.link:
            return {}
        found = by_columns(table, columns, measures=(measure,), most=len(table.rows))
        return {group.values: group.numbers[0].value for group in found.groups}

    found: Mapping[tuple[Value, ...], str] = pen.once(("numbers", key, columns, measure), counted)
    return found
