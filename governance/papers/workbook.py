"""The list of papers as a workbook."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from io import BytesIO
from typing import Any

_WIDTHS = (18, 16, 26, 22, 40, 12, 30, 12, 12, 12, 12, 12)


def paper_workbook(header: Sequence[str], lines: Iterable[Sequence[Any]]) -> bytes:
    """A sheet with a head that stays, and a filter on each column. Text is never a formula."""
    from openpyxl import Workbook
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    sheet = book.active
    sheet.title = "Papers"
    sheet.append(list(header))
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    for line in lines:
        sheet.append([_printable(value) for value in line])
        for cell in sheet[sheet.max_row]:
            if cell.data_type == "f":
                cell.data_type = "s"
    for column, width in enumerate(_WIDTHS, 1):
        sheet.column_dimensions[get_column_letter(column)].width = width
    sheet.freeze_panes = "B2"
    sheet.auto_filter.ref = sheet.dimensions
    buffer = BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def _printable(value: Any) -> Any:
    """XML holds no control characters."""
    return "".join(c if c.isprintable() else " " for c in value) if isinstance(value, str) else value
