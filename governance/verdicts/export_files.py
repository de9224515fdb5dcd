"""Lists as files: CSV line by line, a workbook row by row. Nothing that a person typed is run as a formula."""

from __future__ import annotations

import csv
import io
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from typing import IO, Any

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

FORMULA_MARKS = ("=", "+", "-", "@", "\t", "\r", "\n")
"""First characters at which a spreadsheet program may take text for a formula (OWASP, CSV injection)."""

_LONGEST_CELL = 32_767
"""Characters that a cell of a workbook can hold (ECMA-376)."""

_LINES_AT_ONCE = 200


def csv_lines(head: Sequence[str], rows: Iterable[Sequence[Any]]) -> Iterator[str]:
    """The file in pieces, with the mark by which spreadsheet programs know UTF-8."""
    buffer = io.StringIO()
    writer = csv.writer(buffer)
    buffer.write("\ufeff")
    writer.writerow(head)
    for number, row in enumerate(rows, start=1):
        writer.writerow([_guarded(value) for value in row])
        if number % _LINES_AT_ONCE == 0:
            yield _taken(buffer)
    yield _taken(buffer)


def _taken(buffer: io.StringIO) -> str:
    text = buffer.getvalue()
    buffer.seek(0)
    buffer.truncate()
    return text


def _guarded(value: Any) -> Any:
    """Text that could be run begins with an apostrophe, which spreadsheet programs do not show."""
    if isinstance(value, str):
        return f"'{value}" if value.startswith(FORMULA_MARKS) else value
    return "" if value is None else value


def workbook_file(title: str, head: Sequence[str], widths: Sequence[int], rows: Iterable[Sequence[Any]]) -> IO[bytes]:
    """A workbook with one sheet, in a temporary file that goes away when it is closed."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet(title)
    for number, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(number)].width = width
    sheet.freeze_panes = "B2"
    sheet.print_title_rows = "1:1"
    sheet.append([_head(sheet, text) for text in head])
    for row in rows:
        sheet.append([_cell(sheet, value) for value in row])
    file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115  (the answer closes it when it was sent)
    book.save(file)
    file.seek(0)
    return file


def _head(sheet: Any, text: str) -> Any:
    cell = WriteOnlyCell(sheet, value=text)
    cell.font = Font(bold=True)
    return cell


def _cell(sheet: Any, value: Any) -> Any:
    """Days and numbers as such; text as text, whatever it begins with."""
    if not isinstance(value, str):
        return value
    if not value.isprintable():
        value = "".join(c for c in value if (c >= " " and c not in "\ufffe\uffff") or c in "\t\n\r")
    if not value.startswith(FORMULA_MARKS):
        return value[:_LONGEST_CELL] or None
    cell = WriteOnlyCell(sheet, value="")
    cell.value = value[:_LONGEST_CELL]
    cell.data_type = "s"
    cell.style = "Normal"
    cell.quotePrefix = True
    return cell
