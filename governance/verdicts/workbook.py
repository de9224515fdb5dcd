"""The verdicts out as a workbook made for reading. A module that is loaded only where a workbook is written."""

from __future__ import annotations

import errno
from contextlib import suppress
from pathlib import Path
from typing import Any

from lxml.etree import LxmlError
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font

from governance.engine import ENGINE_VERSION
from governance.verdicts.caution import CAUTION
from governance.verdicts.check import Check, Step, no_step, rows_of
from governance.verdicts.summary import layer_counts, main_findings
from governance.verdicts.writing import HEADER, ROWS_AT_ONCE, Cells, beside, number_text, outcome_rows

_SHEET_ROWS = 1_048_576
"""Rows that a worksheet can hold (ECMA-376)."""


def write_xlsx(check: Check, path: Path, step: Step = no_step) -> None:
    """A workbook made for reading: what needs a look first, then every verdict, then how it was reached.

    Raises:
        OSError: the file, or one of the temporary files that it is made from, cannot be written.
    """
    book = Workbook(write_only=True)
    try:
        _write_summary(book, check)
        _write_rows(book, check, outcome_rows(check), step)
        _write_about(book, check)
        with beside(path) as raw:
            book.save(raw)
    except LxmlError as error:  # how openpyxl tells of a full disk
        _let_go(book)
        raise OSError(errno.EIO, f"the workbook could not be written whole: {error}") from error


def _let_go(book: Workbook) -> None:
    """Close the sheets' temporary files here, where a second failure can be passed over, and not when nobody looks."""
    for sheet in book.worksheets:
        with suppress(LxmlError, OSError, ValueError):
            sheet.close()


def _write_summary(book: Workbook, check: Check) -> None:
    sheet = book.create_sheet("Summary")
    sheet.column_dimensions["A"].width = 18
    for letter in "BCDEFG":
        sheet.column_dimensions[letter].width = 14
    header, *rows = layer_counts(check)
    sheet.append([_head(sheet, text) for text in header])
    for row in rows:
        sheet.append([_text(sheet, row[0]), *row[1:]])
    sheet.append([])
    sheet.append([_head(sheet, "What needs a look first")])
    for line in main_findings(check):
        sheet.append([_text(sheet, line)])


def _write_rows(book: Workbook, check: Check, blocks: list[list[list[Cells]]], step: Step) -> None:
    sheet = _verdict_sheet(book, "Verdicts")
    written = 1
    for (row, catalog), outcomes in zip(rows_of(check), check.assessment.outcome.tolist(), strict=True):
        for column, outcome in enumerate(outcomes):
            for cells in blocks[column][outcome]:
                if written == _SHEET_ROWS:
                    sheet, written = _verdict_sheet(book, "Verdicts, continued"), 1
                sheet.append([row, _text(sheet, catalog), *(_typed(sheet, cell, n) for n, cell in enumerate(cells))])
                written += 1
        if row % ROWS_AT_ONCE == 0:
            step("Writing", row)


def _verdict_sheet(book: Workbook, title: str) -> Any:
    sheet = book.create_sheet(title)
    widths = (7, 18, 15, 14, 26, 13, 20, 10, 10, 11, 90)
    for number, width in enumerate(widths):
        sheet.column_dimensions[chr(ord("A") + number)].width = width
    sheet.freeze_panes = "C2"
    sheet.append([_head(sheet, text) for text in HEADER])
    sheet.auto_filter.ref = f"A1:{chr(ord('A') + len(HEADER) - 1)}{_SHEET_ROWS}"
    return sheet


def _typed(sheet: Any, cell: str, number: int) -> Any:
    """Measures as numbers; everything else as text that no program takes for a formula."""
    return float(cell) if number in (5, 6) and cell else _text(sheet, cell)


def _text(sheet: Any, text: str) -> Any:
    """Text as text: a leading = or + must not run when the workbook is opened (OWASP, CSV injection)."""
    if text[:1] not in ("=", "+", "-", "@", "\t", "\r", "\n"):
        return _printable(text)
    cell = WriteOnlyCell(sheet, value="")
    cell.value = _printable(text)
    cell.data_type = "s"
    cell.style = "Normal"
    cell.quotePrefix = True
    return cell


def _printable(text: str) -> str:
    """Without the control characters that a worksheet cannot hold (ECMA-376)."""
    return "".join(c for c in text if c >= " " or c in "\t\n\r")[:32_767]


def _head(sheet: Any, text: str) -> Any:
    cell = WriteOnlyCell(sheet, value=text)
    cell.font = Font(bold=True)
    return cell


def _write_about(book: Workbook, check: Check) -> None:
    sheet = book.create_sheet("How it was reached")
    sheet.column_dimensions["A"].width = 26
    sheet.column_dimensions["B"].width = 100
    assumed = check.house.assumed_radius_m
    rows = [
        ("Caution", CAUTION),
        ("Engine", ENGINE_VERSION),
        ("Assumed radius", "none" if assumed is None else f"{number_text(assumed)} m"),
        ("Datum allowance", f"{number_text(check.house.datum_allowance_m)} m"),
        ("Specimens", f"{check.table.file}, {check.table.row_count} rows"),
        *(("Paper", f"{p.reference} ({p.kind}), {len(p.versions)} versions") for p in check.papers),
        *(("Note", note) for note in check.notes),
        *(("Warning", str(warning)) for warning in check.warnings),
    ]
    for name, text in rows:
        sheet.append([_head(sheet, name), _text(sheet, text)])
