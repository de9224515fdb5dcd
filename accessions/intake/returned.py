"""Rows that need correction, given back as a file of their own columns with the reasons in a last one.

The file can be corrected and brought in again: the column of reasons is left aside then. In CSV a text that a
spreadsheet program would run as a formula gets an apostrophe before it, which is taken off again at the next reading.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from pathlib import PurePath
from typing import Final

from accessions.intake.grid import TextTable
from accessions.intake.guarding import REASONS, guarded
from accessions.intake.plan import Plan, RowState

_UNWRITABLE: Final = re.compile("[\0-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff]")
"""Characters that a workbook cannot hold."""

XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
CSV: Final = "text/csv; charset=utf-8"


def returned_file(table: TextTable, plan: Plan) -> tuple[str, str, bytes]:
    """Name, media type and bytes of the file of the rows that need correction, in the format of the file itself.

    Spreadsheets come back as XLSX, everything else as CSV.
    """
    name = PurePath(table.file)
    rows = _rows(table, plan)
    if table.sheet:
        return f"{name.stem} to correct.xlsx", XLSX, _xlsx(rows)
    return f"{name.stem} to correct.csv", CSV, _csv(rows)


def _rows(table: TextTable, plan: Plan) -> Iterator[Sequence[str]]:
    kept = [index for index, header in enumerate(table.columns) if header != REASONS]
    yield [*(table.columns[index] for index in kept), REASONS]
    for row in plan.rows_in(RowState.ERROR):
        reasons = " ".join(_reason(plan, row))
        yield [*(table.data[index][row] for index in kept), reasons]


def _reason(plan: Plan, row: int) -> Iterator[str]:
    for problem in plan.errors_by_row[row]:
        header = plan.rows.header_of.get(problem.term, problem.term)
        yield f"{header}: {problem}" if header else str(problem)


def _csv(rows: Iterator[Sequence[str]]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerows([guarded(cell) for cell in row] for row in rows)
    return ("\ufeff" + text.getvalue()).encode("utf-8", "replace")


def _xlsx(rows: Iterator[Sequence[str]]) -> bytes:
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell

    book = Workbook(write_only=True)
    sheet = book.create_sheet("to correct")
    for row in rows:
        cells = []
        for text in row:
            cell = WriteOnlyCell(sheet, value=_UNWRITABLE.sub("\ufffd", text))
            cell.data_type = "s"  # text, also where it begins with "=": a formula would be run
            cells.append(cell)
        sheet.append(cells)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()
