"""A table of a report on the page: the columns that fit, its first rows, and that there are more in the workbook."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from governance.papers.printed.blocks import Block, Cell, Line, Para, Table, Text, plain
from governance.reports.contents import Column, ColumnType, Proof, Row, TableData, Value
from governance.reports.writing.linked_numbers import rows_of_number
from governance.reports.writing.pen import Pen
from governance.reports.writing.shown_columns import BLANK, IN_ENGLISH, REFERENCES, SHOWN, Shown
from governance.reports.writing.summaries import Number

_NUMBERS: Final = frozenset({ColumnType.NUMBER, ColumnType.DECIMAL})
_LONGEST_REFERENCE: Final = 24
_CODE: Final = re.compile("[A-Z]{2}")
_MOST_LISTED: Final = 1
"""Sites of a row; a list of all of them would make a column of words."""

_MARKS: Final = {"in-order": "covered", "covered": "covered", "not-required": "notreq", "cannot-tell": "cannot",
                 "straddles": "straddle", "outside": "outside", "missing": "missing"}  # fmt: skip
"""Verdicts as the drawings of the pages name them."""


def data_table(pen: Pen, key: str, *, most: int | None = None, only: Sequence[Row] | None = None) -> list[Block]:
    """A table with its rows; one sentence where it has none, nothing where the report has no such table.

    Args:
        most: rows that are told; None: those of the pen.
        only: some of its rows.
    """
    table = pen.table(key)
    if table is None:
        return []
    if not table.rows:
        return [] if pen.says_none(key) else [Para(plain(pen.w("none_in_period")))]
    shown = [one for one in SHOWN[key] if _is_filled(table, one)]
    rows = table.rows if only is None else only
    return [_block(pen, table, shown, rows[: most or pen.most]), *rest_line(pen, table, most or pen.most, len(rows))]


def rest_line(pen: Pen, table: TableData, most: int, of: int | None = None) -> list[Block]:
    """How many rows are only in the workbook. of: of so many rows, None: of all."""
    if not most and table.rows:
        return [all_rows_line(pen, table)]
    left = (len(table.rows) if of is None else of) - most
    if left < 1:
        return []
    return [Para(pen.opened("more_rows", Proof(table.key), n=left, sheet=sheet_name(pen, table.key)), "note")]


def all_rows_line(pen: Pen, table: TableData) -> Para:
    """That all rows are in the workbook; on a page their number leads to them."""
    number = Number(str(len(table.rows)), Proof(table.key))
    return Para(pen.told("all_rows_in_sheet", number, sheet=sheet_name(pen, table.key)), "note")


def sheet_name(pen: Pen, key: str) -> str:
    """The sheet of a table in the workbook."""
    return pen.w.of("tables", key)


def _is_filled(table: TableData, shown: Shown) -> bool:
    """A column that is blank in every row says nothing, unless a blank means something."""
    if shown.keys[0] in BLANK:
        return True
    places = [table.place(key) for key in shown.keys]
    return any(row[place] not in (None, "") for row in table.rows for place in places)


def _block(pen: Pen, table: TableData, shown: Sequence[Shown], rows: Sequence[Row]) -> Table:
    columns = {column.key: column for column in table.columns}
    numbers = [place for place, one in enumerate(shown) if columns[one.keys[0]].type in _NUMBERS]
    return Table(
        pen.w.of("tables", table.key), [head_of(pen, one) for one in shown],
        [[_cell(pen, table, one, row) for one in shown] for row in rows], [one.width for one in shown], small=True,
        numbers=numbers, fine_head=True, refs=refs_of(table, [one.keys for one in shown], rows),
    )  # fmt: skip


def refs_of(table: TableData, columns: Sequence[Sequence[str]], rows: Sequence[Row]) -> list[int]:
    """Places of the columns of references; one that is long like a sentence breaks as one does."""
    found = []
    for number, keys in enumerate(columns):
        if keys[0] in REFERENCES:
            places = [table.place(key) for key in keys]
            if all(len(str(row[place] or "")) <= _LONGEST_REFERENCE for row in rows for place in places):
                found.append(number)
    return found


def head_of(pen: Pen, shown: Shown) -> str:
    """The head of a column of the document."""
    return pen.w.of("heads", shown.head) if shown.head in pen.w.groups["heads"] else pen.w.of("columns", shown.keys[0])


def _cell(pen: Pen, table: TableData, shown: Shown, row: Row) -> Cell:
    values = [row[table.place(key)] for key in shown.keys]
    columns = [table.columns[table.place(key)] for key in shown.keys]
    if shown.span:
        span = pen.w.taken_span if table.key == "material" else pen.w.short_span
        return Cell([plain(span(values[0], values[1]) or blank(pen, shown.keys[0]))])
    parts: list[Value] = [values[0]]
    if shown.keys[0] == "value":  # of a field: what several papers say, a line each
        text = str(values[0] or "")
        is_place = row[table.place("field")] == _OF_PLACES
        parts = list((_places(pen, text) if is_place else text).split(" | "))
    if columns[0].type in _NUMBERS and values[0] is not None:
        lines = [_number(pen, table, columns[0], row)]
    else:
        lines = [_value(pen, columns[0], part) for part in parts]
    if shown.keys == ("answer", "outside"):
        return Cell([*lines, *_outside(pen, *values)])
    lines += [(Text(pen.w.value(column, value), _language(pen, column), "note"),)
              for column, value in zip(columns[1:], values[1:], strict=True) if value not in (None, "")]  # fmt: skip
    return Cell(lines, data_v=_MARKS.get(str(values[0]), "") if columns[0].words == "verdicts" else "")


def _number(pen: Pen, table: TableData, column: Column, row: Row) -> Line:
    """A number, which leads to the rows that make it where some do."""
    value = row[table.place(column.key)]
    proof = rows_of_number(pen, table, column.key, row)
    return (Text(pen.w.value(column, value), href=pen.href(proof, str(value))),)


def _outside(pen: Pen, answer: Value, outside: Value) -> list[Line]:
    """Beside the answer of a day, that the entry counts as outside the terms; where nobody had decided, for that."""
    if outside != "yes":
        return []
    is_open = answer in (None, "", "not-known")
    return [(Text(pen.w("counted_outside_undecided" if is_open else "counted_outside"), role="note"),)]


_OF_PLACES: Final = "place_of_access"
"""The field whose value lists "code of a country: region"."""


def _places(pen: Pen, text: str) -> str:
    """Countries by their names in the language of the report."""
    named = []
    for one in text.split("; "):
        code, colon, region = one.partition(": ")
        named.append(f"{pen.w.country(code) if _CODE.fullmatch(code) else code}{colon}{region}")
    return "; ".join(named)


def _value(pen: Pen, column: Column, value: Value) -> Line:
    text = pen.w.value(column, value)
    if not text:
        return plain(blank(pen, column.key))
    if column.key == "code":
        return (Text(f"{value} ", role="strong"), Text(text))
    if column.key == "value":  # of a field or item: a day is written as one
        text = pen.w.short_day(text)
    if column.key == "sites":
        text = _few(pen, text)
    role = "taxon" if column.type is ColumnType.TAXON else ""
    return (Text(text, _language(pen, column), role),)


def _few(pen: Pen, listed: str) -> str:
    """The first of several, and how many more there are: the workbook has all of them."""
    parts = listed.split("; ")
    left = len(parts) - _MOST_LISTED
    return listed if left < 1 else "; ".join([*parts[:_MOST_LISTED], pen.w("other_groups", n=left)])


def _language(pen: Pen, column: Column) -> str:
    return "en" if column.key in IN_ENGLISH and pen.w.code != "en" else ""


def blank(pen: Pen, key: str) -> str:
    """What stands for a blank."""
    return pen.w(BLANK[key]) if key in BLANK else "\u2013"
