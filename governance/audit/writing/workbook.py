"""An answer as a workbook: how it was asked on the first sheet, then all rows with typed cells.

A text is only ever a text: never a formula, a link or a number. Rows are written as they are read, past the library's
look at each cell (``governance.reports.writing.sheet_rows``), so that memory does not grow with them.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from itertools import islice
from typing import IO, Any, Final
from xml.sax.saxutils import escape

import xlsxwriter
from django.utils import timezone
from django.utils.translation import gettext as _

from governance.audit.asking import Answer, Column, ColumnKind, Plain, Row
from governance.audit.writing.cells import heading, kept, plain, words
from governance.audit.writing.told import Line
from governance.reports.writing.sheet_rows import RowSheet, number_of

CONTENT_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
MOST_ROWS: Final = 1_048_575
"""Rows of a sheet below its head (ECMA-376: 1,048,576 in all)."""

MOST_CHARACTERS: Final = 32_767
"""Characters of a cell: the limit that programs have, from memory."""

_OPTIONS: Final = {
    "constant_memory": True, "in_memory": False, "strings_to_formulas": False, "strings_to_urls": False,
    "strings_to_numbers": False,
}  # fmt: skip
_HEAD: Final = {"bold": True, "bg_color": "#EEF2F1", "bottom": 1, "text_wrap": True, "valign": "top"}
_WIDTHS: Final[Mapping[ColumnKind, int]] = {
    ColumnKind.NUMBER: 12, ColumnKind.DAY: 12, ColumnKind.MOMENT: 20, ColumnKind.TAXON: 30, ColumnKind.COUNTRY: 18,
    ColumnKind.VERDICT: 18, ColumnKind.STRIP: 46, ColumnKind.CODE: 20, ColumnKind.TEXT: 34,
}  # fmt: skip
_NO_XML: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_ESCAPED: Final = re.compile("(_x[0-9a-fA-F]{4}_)")
"""Programs read this in a text as a character by its number (ECMA-376, 22.9.2.19); a text that looks so is marked."""

_SECONDS_A_DAY: Final = 86_400
_MOST_DIGITS: Final = 15
_LEAST_DAY: Final = date(1900, 3, 1)
"""Workbooks count days rightly from here on (18.17.4.1: 1900 is taken for a leap year); earlier ones are text."""

_EPOCH: Final = date(1899, 12, 30).toordinal()

Markup = Callable[[Plain], str]
"""A value as what stands between the address of its cell and the end of the cell."""


def write_workbook(file: IO[bytes], title: str, head: Sequence[Line], answer: Answer, *, made_at: datetime) -> None:
    """Write the whole file."""
    with xlsxwriter.Workbook(file, _OPTIONS) as book:
        book.set_properties({"title": _legible(title)[:255], "author": "", "created": made_at.replace(tzinfo=None)})
        _write_head(book, head)
        _Rows(book, answer).write()


def _write_head(book: Any, head: Sequence[Line]) -> None:
    strong = book.add_format({"bold": True, "valign": "top"})
    wrapped = book.add_format({"text_wrap": True, "valign": "top"})
    sheet = book.add_worksheet(_("How it was asked"))
    sheet.set_column(0, 0, 34)
    sheet.set_column(1, 1, 100)
    for place, (label, text) in enumerate(head):
        sheet.write_string(place, 0, _cut(label), strong)
        sheet.write_string(place, 1, _cut(text), wrapped)


class _Rows:
    """Writes the rows, on as many sheets as they need."""

    def __init__(self, book: Any, answer: Answer) -> None:
        self.book, self.answer = book, answer
        self.head = book.add_format(_HEAD)
        self.looks = {
            ColumnKind.DAY: book.add_format({"num_format": "yyyy-mm-dd", "align": "left"}),
            ColumnKind.MOMENT: book.add_format({"num_format": "yyyy-mm-dd hh:mm", "align": "left"}),
            ColumnKind.TAXON: book.add_format({"italic": True}),
        }

    def write(self) -> None:
        """All sheets; one without rows where there are none."""
        rows, left = iter(self.answer.rows), len(self.answer.rows)
        for number in range(1, max(1, -(-left // MOST_ROWS)) + 1):
            name = _("Rows") if number == 1 else _("Rows %(n)d") % {"n": number}
            self._sheet(name, islice(rows, MOST_ROWS), min(left, MOST_ROWS))
            left -= MOST_ROWS

    def _sheet(self, name: str, rows: Iterator[Row], count: int) -> None:
        sheet, columns = self.book.add_worksheet(name, RowSheet), self.answer.columns
        sheet.freeze_panes(1, 1)
        sheet.set_landscape()
        sheet.repeat_rows(0)
        for place, column in enumerate(columns):
            sheet.set_column(place, place, _WIDTHS[column.kind])
            sheet.write_string(0, place, _cut(heading(column)), self.head)
        if count > 0 and columns:
            sheet.autofilter(0, 0, count, len(columns) - 1)
        sheet.write_rows(1, [self._markup(column) for column in columns], (map(plain, row.cells) for row in rows))

    def _markup(self, column: Column) -> Markup:
        look = self.looks[column.kind]._get_xf_index() if column.kind in self.looks else 0
        if column.kind is ColumnKind.NUMBER:
            return lambda value: _number(column, value)
        if column.kind is ColumnKind.DAY:
            return lambda value: _day(column, value, look)
        if column.kind is ColumnKind.MOMENT:
            return lambda value: _moment(column, value, look)
        return kept(lambda value: _text(words(column, value), look))


def _number(column: Column, value: Plain) -> str:
    number = _exact(value)
    return _text(words(column, value)) if number is None else f'"><v>{number!r}</v></c>'


def _exact(value: Plain) -> float | int | None:
    """A number that a sheet holds as it is: IEEE 754 doubles do, and whole numbers of at most 15 digits."""
    if isinstance(value, Decimal):
        return number_of(f"{value:f}")
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, int) and not isinstance(value, bool):
        return value if abs(value) < 10**_MOST_DIGITS else None
    return None


def _day(column: Column, value: Plain, look: int) -> str:
    if type(value) is not date:
        return _text(words(column, value))
    if value < _LEAST_DAY:
        return _text(value.isoformat())
    return f'" s="{look}"><v>{value.toordinal() - _EPOCH}</v></c>'


def _moment(column: Column, value: Plain, look: int) -> str:
    """A moment in local time, to the second."""
    if not isinstance(value, datetime):
        return _day(column, value, look)
    local = timezone.localtime(value) if timezone.is_aware(value) else value
    if local.date() < _LEAST_DAY:
        return _text(words(column, value))
    seconds = local.hour * 3600 + local.minute * 60 + local.second
    return f'" s="{look}"><v>{local.toordinal() - _EPOCH + seconds / _SECONDS_A_DAY!r}</v></c>'


def _text(text: str, look: int = 0) -> str:
    """A text in its cell: never a formula, a link or a number, whatever it looks like."""
    text = _ESCAPED.sub(r"_x005F\1", _cut(text))
    style = f' s="{look}"' if look else ""
    space = ' xml:space="preserve"' if text != text.strip() or "\n" in text else ""
    return f'"{style} t="inlineStr"><is><t{space}>{escape(text)}</t></is></c>'


def _legible(text: str) -> str:
    return _NO_XML.sub("", text)


def _cut(text: str) -> str:
    """A text as a cell holds it: cut where it is too long, with a mark that says so."""
    text = _legible(text)
    if len(text) <= MOST_CHARACTERS:
        return text
    mark = " " + _("(cut: %(n)d characters)") % {"n": len(text)}
    return text[: MOST_CHARACTERS - len(mark)] + mark
