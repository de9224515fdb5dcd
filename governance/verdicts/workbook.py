"""The verdicts out as a workbook made for reading. A module that is loaded only where a workbook is written."""

from __future__ import annotations

import errno
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np
from lxml.etree import LxmlError
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties

from governance.engine import ENGINE_VERSION, Verdict
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
        blocks = outcome_rows(check)
        _write_open(book, check, blocks)
        _write_rows(book, check, blocks, step)
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
        sheet.column_dimensions[letter].width = 16
    sheet.append([_head(sheet, f"{check.table.row_count:,} specimens of {check.table.file}, by layer and verdict")])
    sheet.append([])
    header, *rows = layer_counts(check)
    sheet.append([_head(sheet, text) for text in header])
    for row in rows:
        sheet.append([_text(sheet, row[0]), *row[1:]])
    sheet.append([_text(sheet, "A specimen counts under the worst of its layers; not required is no fault.")])
    sheet.append([])
    sheet.append([_head(sheet, "What needs a look first")])
    for line in main_findings(check):
        sheet.append([_text(sheet, line)])
    sheet.append([])
    sheet.append([_text(sheet, CAUTION)])


def _write_open(book: Workbook, check: Check, blocks: list[list[list[Cells]]]) -> None:
    """What needs a look, worst first, with what a curator knows the specimen by."""
    sheet = _sheet(book, "To look at", (*_KNOWN_BY, *HEADER[2:]), (7, 18, 28, 14, 22, *_WIDTHS[2:]))
    verdicts = check.assessment.verdict
    row, column = np.nonzero(verdicts > Verdict.NOT_REQUIRED)
    order = np.lexsort((column, row, -verdicts[row, column].astype(np.int16)))
    known_by = [check.table.columns.get(term) for term in _TERMS_KNOWN_BY]
    written = 1
    for place in order.tolist():
        number, layer = int(row[place]), int(column[place])
        own = [number + 1, *(_text(sheet, cells[number]) if cells else "" for cells in known_by)]
        for cells in blocks[layer][check.assessment.outcome[number, layer]]:
            if written < _SHEET_ROWS:
                sheet.append([*own, *(_typed(sheet, cell, n) for n, cell in enumerate(cells))])
                written += 1


_KNOWN_BY = ("row", "catalogNumber", "scientificName", "eventDate", "site")
_TERMS_KNOWN_BY = ("catalogNumber", "scientificName", "eventDate", "siteName")


def _write_rows(book: Workbook, check: Check, blocks: list[list[list[Cells]]], step: Step) -> None:
    sheet = _verdict_sheet(book, "All verdicts")
    written = 1
    for (row, catalog), outcomes in zip(rows_of(check), check.assessment.outcome.tolist(), strict=True):
        for column, outcome in enumerate(outcomes):
            for cells in blocks[column][outcome]:
                if written == _SHEET_ROWS:
                    sheet, written = _verdict_sheet(book, "All verdicts, continued"), 1
                sheet.append([row, _text(sheet, catalog), *(_typed(sheet, cell, n) for n, cell in enumerate(cells))])
                written += 1
        if row % ROWS_AT_ONCE == 0:
            step("Writing", row)


_WIDTHS = (7, 18, 15, 14, 26, 13, 20, 10, 10, 11, 90)


def _verdict_sheet(book: Workbook, title: str) -> Any:
    return _sheet(book, title, HEADER, _WIDTHS)


def _sheet(book: Workbook, title: str, header: Sequence[str], widths: Sequence[int]) -> Any:
    """A table to read and to print: heads that stay, a filter, landscape."""
    sheet = book.create_sheet(title)
    for number, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(number)].width = width
    sheet.freeze_panes = "C2"
    sheet.print_title_rows = "1:1"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(header))}{_SHEET_ROWS}"
    sheet.append([_head(sheet, text) for text in header])
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
        *(("Paper", f"{p.reference} ({p.kind}), versions: {len(p.versions)}") for p in check.papers),
        *(("Note", note) for note in check.notes),
        *(("Warning", str(warning)) for warning in check.warnings),
    ]
    for name, text in rows:
        sheet.append([_head(sheet, name), _text(sheet, text)])
