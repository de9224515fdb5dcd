"""XLSX and ODS: the cells of one sheet, each as the text that it stands for."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import Any, Final

from accessions.intake import limits
from accessions.intake.archives import Archive
from accessions.intake.grid import Grid, Progress, TextTable, place_words
from accessions.intake.markup import children, descendants, parse_markup
from accessions.intake.problems import Problem, listed, refusal, shown
from accessions.intake.sheet_scan import (
    Cells,
    SheetScan,
    column_letters,
    open_document_formulas,
    scan_markup,
    scan_open_document,
)

PREFERRED_SHEET: Final = "specimens"
_LARGEST_PLAIN: Final = 1e15
"""Whole numbers up to here are exact in a spreadsheet cell."""


def read_spreadsheet(path: Path, progress: Progress | None = None, *, open_document: bool) -> TextTable:
    """The table of the sheet named Specimens, else of the first sheet that is not empty.

    Raises:
        FileProblems: the file is damaged, locked or too large, or no sheet holds a table.
    """
    with Archive(path) as archive:
        scans = scan_markup(archive)
        has_formulas = open_document and scan_open_document(archive)
        name, rows, first_column, others = _chosen_sheet(path)
        if open_document:
            scan = SheetScan(formulas=open_document_formulas(archive, name)) if has_formulas else SheetScan()
        else:
            scan = scans.get(_member_of_sheet(archive, name), SheetScan())
    table = _table(path.name, name, rows, first_column, progress)
    table.problems += _cell_warnings(path.name, name, scan)
    if others:
        table.notes.append(
            f"Not read: {listed(others, 10)}. One sheet is read; the one named Specimens, if there is one."
        )
    return table


def _chosen_sheet(path: Path) -> tuple[str, Iterator[list[Any]], int, list[str]]:
    """Name, rows from row 1 on, the number of empty columns before them, and the other sheets that hold something."""
    import python_calamine

    try:
        book = python_calamine.CalamineWorkbook.from_path(path)
        sheets = [(name, book.get_sheet_by_name(name)) for name in _sheet_names_in_order(book)]
        filled = [(name, sheet, sheet.start[1]) for name, sheet in sheets if sheet.start is not None]
        if filled:
            name, sheet, first_column = filled[0]
            return name, sheet.iter_rows(), first_column, [other for other, _, _ in filled[1:]]
    except (python_calamine.CalamineError, OSError, ValueError) as error:
        raise refusal(
            path.name, "", "the spreadsheet cannot be read; it looks damaged or locked",
            "Open it in a spreadsheet program and save it anew, without a password.",
        ) from error  # fmt: skip
    raise refusal(path.name, "", "no sheet holds anything", "A table has a row of headers and rows below it.")


def _sheet_names_in_order(book: Any) -> list[str]:
    """Worksheets, the one named Specimens first, hidden ones last."""
    import python_calamine

    sheets = [s for s in book.sheets_metadata if s.typ == python_calamine.SheetTypeEnum.WorkSheet]
    hidden = {s.name for s in sheets if s.visible != python_calamine.SheetVisibleEnum.Visible}
    return sorted(
        (s.name for s in sheets), key=lambda name: (name.strip().casefold() != PREFERRED_SHEET, name in hidden)
    )


def _member_of_sheet(archive: Archive, name: str) -> str:
    """The XML file of a sheet, by way of the relations of the workbook (ECMA-376 part 1, 18.2.19)."""
    workbook = parse_markup(archive.read("xl/workbook.xml", limits.MAX_MARKUP_BYTES), archive.file, "workbook.xml")
    relation = ""
    for sheet in descendants(workbook, "sheet"):
        if sheet.get("name") == name:
            relation = next((value for key, value in sheet.attrib.items() if key.endswith("}id")), "")
    relations = "xl/_rels/workbook.xml.rels"
    if not relation or relations not in archive.names:
        return ""
    root = parse_markup(archive.read(relations, limits.MAX_MARKUP_BYTES), archive.file, relations)
    target = next((r.get("Target", "") for r in children(root, "Relationship") if r.get("Id") == relation), "")
    return target.lstrip("/") if target.startswith("/") else f"xl/{target}"


def _table(file: str, sheet: str, rows: Iterator[list[Any]], first_column: int, progress: Progress | None) -> TextTable:
    header, header_row = _header(file, sheet, rows)
    grid = Grid(file, sheet, header, header_row)
    reader = _ColumnTexts(grid, first_column)
    row, told = header_row, 0
    while chunk := list(islice(rows, limits.CHUNK_ROWS)):
        grid.add_columns(
            [reader.texts(i, column, row) for i, column in enumerate(zip(*chunk, strict=True))], len(chunk)
        )
        row += len(chunk)
        if progress and row - told >= limits.PROGRESS_ROWS:
            told = row
            progress(len(grid))
    table = grid.finish()
    table.notes += [f"Sheet {shown(sheet)} was read.", *reader.notes()]
    return table


def _header(file: str, sheet: str, rows: Iterator[list[Any]]) -> tuple[list[str], int]:
    for number, row in enumerate(rows, 1):
        header = [cell_text(value) for value in row]
        if any(text.strip() for text in header):
            return header, number
    raise refusal(file, place_words(sheet), "the sheet is empty", "A table has a row of headers and rows below it.")


class _ColumnTexts:
    """Turns the values of a column into text, and remembers which columns held numbers and dates."""

    def __init__(self, grid: Grid, first_column: int) -> None:
        self._grid = grid
        self._first_column = first_column
        self._numbers: set[int] = set()
        self._dates: set[int] = set()

    def texts(self, index: int, column: Sequence[Any], row: int) -> Sequence[str]:
        """One text a value. row: the row of the file before the first value."""
        types = {*map(type, column)}
        if types != {str}:
            self._numbers |= {index} if types & {int, float} else set()
            self._dates |= {index} if types & {datetime.date, datetime.datetime} else set()
            column = [value if type(value) is str else cell_text(value) for value in column]
        if max(map(len, column), default=0) > limits.MAX_CELL_CHARACTERS:
            self._refuse_long(index, column, row)
        return column

    def _refuse_long(self, index: int, column: Sequence[str], row: int) -> None:
        for number, text in enumerate(column, row + 1):
            if len(text) > limits.MAX_CELL_CHARACTERS:
                name = self._grid.header[index] or column_letters(self._first_column + index)
                raise refusal(
                    self._grid.file,
                    place_words(self._grid.sheet, number, name),
                    f"the cell is longer than {limits.MAX_CELL_CHARACTERS:,} characters",
                    "Shorten it.",
                )

    def notes(self) -> list[str]:
        """What a person should know of the way in which the spreadsheet stored its cells."""
        said = []
        if self._numbers:
            said.append(
                f"Cells stored as numbers were read as the number: {self._named(self._numbers)}. "
                "Zeros before a number (00417) are kept by a spreadsheet only in cells formatted as text."
            )
        if self._dates:
            said.append(f"Cells stored as dates were read as whole days: {self._named(self._dates)}.")
        return said

    def _named(self, indexes: set[int]) -> str:
        return listed([self._grid.header[i] or column_letters(self._first_column + i) for i in sorted(indexes)], 12)


def cell_text(value: Any) -> str:
    """The text that a cell stands for, without loss: 417.0 is ``417``, a date is ``2023-05-01``."""
    return _TEXT_OF.get(type(value), str)(value)


def _number_text(value: float) -> str:
    if value.is_integer() and abs(value) < _LARGEST_PLAIN:
        return str(int(value))
    text = repr(value)
    return format(Decimal(text), "f") if "e" in text and 1e-15 < abs(value) < 1e21 else text


def _moment_text(value: datetime.datetime) -> str:
    midnight = value.time() == datetime.time()
    return value.date().isoformat() if midnight else value.isoformat()


def _duration_text(value: datetime.timedelta) -> str:
    seconds = round(value.total_seconds())
    return f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}"


_TEXT_OF: Final[dict[type, Callable[[Any], str]]] = {
    str: str,
    float: _number_text,
    bool: lambda value: "TRUE" if value else "FALSE",
    datetime.date: datetime.date.isoformat,
    datetime.datetime: _moment_text,
    datetime.time: datetime.time.isoformat,
    datetime.timedelta: _duration_text,
}


def _cell_warnings(file: str, sheet: str, scan: SheetScan) -> Iterator[Problem]:
    yield from _warning(
        file,
        sheet,
        scan.formulas,
        "formula cells",
        "They were read by their last stored value; put values in their place if that may be out of date.",
    )
    yield from _warning(
        file,
        sheet,
        scan.errors,
        "cells with an error such as #N/A",
        "They were read as blank; correct the formula or fill in the value.",
    )


def _warning(file: str, sheet: str, cells: Cells, kind: str, expected: str) -> Iterator[Problem]:
    if cells.count:
        yield Problem(file, place_words(sheet), f"{cells.count:,} {kind}: {cells}", expected, "warning")
