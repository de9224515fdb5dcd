"""A report as a workbook for the office: one sheet a table, every row, typed cells, and what proves each figure.

Cells have the types of their columns. A text is only ever a text: never a formula, a link or a number.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import islice
from typing import Any, Final

import xlsxwriter
from xlsxwriter.worksheet import Worksheet

from governance.reports.contents import Composed, Row, TableData, Value
from governance.reports.queries.stored import lines_in_chunks
from governance.reports.writing.cells import cell_text, sheet_titles, width_of
from governance.reports.writing.language import ReportWords, words_of
from governance.reports.writing.read_me import read_me_rows
from governance.reports.writing.sheet_rows import RowSheet, column_markup

CONTENT_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
MOST_ROWS: Final = 1_048_575
"""Rows of a sheet below its head (ECMA-376: 1,048,576 in all)."""

_OPTIONS: Final = {
    "constant_memory": True, "in_memory": False, "strings_to_formulas": False, "strings_to_urls": False,
    "strings_to_numbers": False, "default_date_format": "yyyy-mm-dd",
}  # fmt: skip
_HEAD: Final = {"bold": True, "bg_color": "#EEF2F1", "bottom": 1, "text_wrap": True, "valign": "top"}


def report_workbook(composed: Composed, language: str, *, made_at: datetime) -> bytes:
    """The file.

    Raises:
        FileNotFoundError: there is no file of that language.
    """
    out = io.BytesIO()
    w = words_of(language)
    with xlsxwriter.Workbook(out, _OPTIONS) as book:
        made = made_at.replace(tzinfo=None)
        book.set_properties({"title": composed.contents.reference, "author": "", "created": made})
        _Writer(book, composed, w).write(made_at)
    return out.getvalue()


class _Writer:
    """Writes one workbook."""

    def __init__(self, book: Any, composed: Composed, w: ReportWords) -> None:
        self.book, self.composed, self.w = book, composed, w
        self.head = book.add_format(_HEAD)
        self.strong = book.add_format({"bold": True, "font_size": 14})
        self.wrapped = book.add_format({"text_wrap": True, "valign": "top"})
        self.day = book.add_format({"num_format": "yyyy-mm-dd", "align": "left"})
        self.taxon = book.add_format({"italic": True})

    def write(self, made_at: datetime) -> None:
        """All sheets: what it is first, then the tables in their order."""
        tables = list(self.composed.tables.values())
        parts = {table.key: max(1, -(-len(table.rows) // MOST_ROWS)) for table in tables}
        first, titles = sheet_titles(self.w, parts)
        sheet = self.book.add_worksheet(first)
        digests = {table.key: digest_of(table.rows) for table in tables}
        self._read_me(sheet, read_me_rows(self.composed, self.w, titles, digests, made_at))
        for table in tables:
            rows = iter(table.rows)
            for title in titles[table.key]:
                self._table(title, table, rows, min(len(table.rows), MOST_ROWS))

    def _read_me(self, sheet: Worksheet, rows: Iterator[tuple[str, Sequence[Value]]]) -> None:
        sheet.set_column(0, 0, 46, self.wrapped)
        sheet.set_column(1, 1, 22)
        sheet.set_column(2, 4, 40, self.wrapped)
        looks = {"title": self.strong, "head": self.head}
        for place, (look, values) in enumerate(rows):
            for column, value in enumerate(values):
                if isinstance(value, int):
                    sheet.write_number(place, column, value)
                elif value:
                    sheet.write_string(place, column, cell_text(self.w, value), looks.get(look))

    def _table(self, title: str, table: TableData, rows: Iterator[Row], most: int) -> None:
        """The next rows of a table on a sheet of their own."""
        sheet = self.book.add_worksheet(title, RowSheet)
        sheet.freeze_panes(1, 1)
        sheet.set_landscape()
        sheet.repeat_rows(0)
        for place, column in enumerate(table.columns):
            sheet.set_column(place, place, width_of(column))
            sheet.write_string(0, place, self.w.of("columns", column.key), self.head)
        if most:
            sheet.autofilter(0, 0, most, len(table.columns) - 1)
        columns = [column_markup(column, self.w, self.day, self.taxon) for column in table.columns]
        sheet.write_rows(1, columns, islice(rows, MOST_ROWS))


def digest_of(rows: Sequence[Row]) -> str:
    """SHA-256 over the rows as JSON lines, as they are kept with an issued report."""
    found = hashlib.sha256()
    for lines in lines_in_chunks(rows):
        found.update(lines)
    return found.hexdigest()
