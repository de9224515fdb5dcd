"""Rows of a sheet as markup: a report has three million cells, and looking at each of them takes the library a minute.

The library writes the workbook and the head of each sheet; the rows below go straight into the file in which it keeps
rows (its ``constant_memory``). Cells as of ECMA-376, part 1: 18.3.1.4, 18.3.1.53 (texts in the cell), 18.18.11.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import Any, Final
from xml.sax.saxutils import escape

from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.worksheet import Worksheet

from governance.reports.contents import Column, ColumnType, Row, Value
from governance.reports.writing.cells import cell_text
from governance.reports.writing.language import ReportWords

_ESCAPED: Final = re.compile("(_x[0-9a-fA-F]{4}_)")
"""Programs read this in a text as a character by its number (22.9.2.19); a text that looks so is marked."""

_LEAST_DAY: Final = date(1900, 3, 1)
"""Workbooks count days rightly from here on (18.17.4.1: 1900 is taken for a leap year); earlier ones are text."""

_EPOCH: Final = date(1899, 12, 30).toordinal()
_MOST_DIGITS: Final = 15
"""Digits that a number of a sheet holds (IEEE 754 double)."""

_MOST_KEPT: Final = 20_000

Markup = Callable[[Value], str]
"""A value as what stands between the address of its cell and the end of the cell."""


class RowSheet(Worksheet):  # type: ignore[misc]  # the library has no types
    """A sheet that takes rows as markup, each below those before."""

    def write_rows(self, first: int, columns: Sequence[Markup], rows: Iterable[Row]) -> int:
        """Write rows from a row of the sheet on, counted from 0; gives the row after the last."""
        self._write_single_row(first)
        names = [f'<c r="{xl_col_to_name(place)}' for place in range(len(columns))]
        put, number = self.row_data_fh.write, first
        for number, row in enumerate(rows, first + 1):
            cells = [
                f"{name}{number}{write(value)}"
                for name, write, value in zip(names, columns, row, strict=True)
                if value is not None and value != ""
            ]
            put(f'<row r="{number}">{"".join(cells)}</row>')
        self.previous_row = number
        self.dim_rowmax: int = number - 1
        return number


def column_markup(column: Column, w: ReportWords, day: Any, taxon: Any) -> Markup:
    """What writes the values of a column. day, taxon: formats of the workbook."""
    if column.type in (ColumnType.NUMBER, ColumnType.DECIMAL):
        return _kept(lambda value: _number(w, value))
    if column.type is ColumnType.DAY:
        look = day._get_xf_index()
        return _kept(lambda value: _day(w, value, look))
    if column.words == "benefits":
        return _kept(lambda value: _text(w, f"{value} {w.value(column, value)}"))
    if column.type in (ColumnType.WORD, ColumnType.COUNTRY):
        return _kept(lambda value: _text(w, w.value(column, value)))
    look = taxon._get_xf_index() if column.type is ColumnType.TAXON else 0
    return _kept(lambda value: _text(w, value, look))


def _kept(write: Markup) -> Markup:
    """Keeps what was written: most values of a column come again. Different ones beyond many are not kept."""
    known: dict[Value, str] = {}

    def markup(value: Value) -> str:
        found = known.get(value)
        if found is None:
            found = write(value)
            if len(known) < _MOST_KEPT:
                known[value] = found
        return found

    return markup


def _text(w: ReportWords, value: Value, look: int = 0) -> str:
    """A text in its cell: never a formula, a link or a number, whatever it looks like."""
    text = _ESCAPED.sub(r"_x005F\1", cell_text(w, value))
    style = f' s="{look}"' if look else ""
    space = ' xml:space="preserve"' if text != text.strip() or "\n" in text else ""
    return f'"{style} t="inlineStr"><is><t{space}>{escape(text)}</t></is></c>'


def _number(w: ReportWords, value: Value) -> str:
    number = number_of(value)
    return _text(w, value) if number is None else f'"><v>{number!r}</v></c>'


def _day(w: ReportWords, value: Value, look: int) -> str:
    number = day_number(value)
    return _text(w, value) if number is None else f'" s="{look}"><v>{number}</v></c>'


def number_of(value: Value) -> float | int | None:
    """A number that a sheet holds without loss; None: it is written as text.

    >>> number_of("12.50"), number_of(3), number_of("0.1234567890123456"), number_of("nan")
    (12.5, 3, None, None)
    """
    text = str(value)
    if not re.fullmatch(r"-?\d+(\.\d+)?", text, re.ASCII):
        return None
    digits = len(text.lstrip("-0.").replace(".", ""))
    if digits > _MOST_DIGITS:
        return None
    return float(text) if "." in text else int(text)


def day_number(value: Value) -> int | None:
    """A day as sheets count it; None for what is no whole day, or too early for them.

    >>> day_number("1900-03-01"), day_number("2024-06-17"), day_number("1899-06-17"), day_number("2024-06")
    (61, 45460, None, None)
    """
    try:
        day = date.fromisoformat(str(value))
    except ValueError:
        return None
    return day.toordinal() - _EPOCH if day >= _LEAST_DAY else None
