"""The verdicts out: a CSV file for exchange, a workbook for reading. Written beside, then renamed: never half a file."""

from __future__ import annotations

import io
import itertools
import os
import re
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from governance.engine import Finding, Verdict
from governance.engine.pairs import Edition
from governance.verdicts.caution import CAUTION
from governance.verdicts.check import Check, rows_of

HEADER = ("row", "catalogNumber", "layer", "verdict", "paper", "version_from", "finding", "measure", "against", "unit",
          "sentence")  # fmt: skip
"""Columns of the exchange file: VERDICTS, section 8."""

_ROWS_AT_ONCE = 5_000
_SHEET_ROWS = 1_048_576
"""Rows that a worksheet can hold (ECMA-376)."""


@contextmanager
def beside(path: Path, mode: str = "wb") -> Iterator[IO[Any]]:
    """A file that appears under its name only when it is whole."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, mode) as file:
            yield file
        os.chmod(name, 0o644)
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def number_text(value: float | None) -> str:
    """A measure as the files show it: whole where it is whole, else to a tenth; "" for none."""
    if value is None:
        return ""
    rounded = round(value, 1)
    return str(int(rounded)) if rounded == int(rounded) else str(rounded)


def day_text(day: int | None) -> str:
    """ISO 8601 of a day number, "" where the start is not known."""
    from datetime import date

    return "" if day is None else date.fromordinal(day).isoformat()


Cells = tuple[str, ...]


def outcome_rows(check: Check) -> list[list[list[Cells]]]:
    """For each layer and outcome the cells of its rows, from ``layer`` on."""
    return [_layer_rows(check, column) for column in range(len(check.assessment.layers))]


def _layer_rows(check: Check, column: int) -> list[list[Cells]]:
    outcomes = check.assessment.outcomes[column]
    layer = check.assessment.layers[column].code
    papers = [_paper_cells(check, [outcomes.edition_table[n] for n in numbers]) for numbers in outcomes.edition_sets]
    verdicts = [verdict.code for verdict in Verdict]
    heads = zip(outcomes.verdict.tolist(), outcomes.editions.tolist(), strict=True)
    return [
        [(layer, verdicts[verdict], *papers[editions], *_finding_cells(finding), sentence) for finding, sentence in explained]
        for (verdict, editions), explained in zip(heads, check.explainer.every(column), strict=True)
    ]


def _paper_cells(check: Check, editions: Sequence[Edition]) -> Cells:
    """The papers and the starts of the versions that were tested, each joined by a bar."""
    starts = [day_text(version.from_day) for edition in editions for version in edition.versions]
    references = " | ".join(check.papers[edition.paper].reference for edition in editions)
    return references, " | ".join(starts) if any(starts) else ""


def _finding_cells(finding: Finding) -> Cells:
    return finding.code, number_text(finding.measure), number_text(finding.against), _unit(finding)


def _unit(finding: Finding) -> str:
    return finding.unit if finding.measure is not None or finding.against is not None else ""


def write_csv(check: Check, path: Path, step: Callable[[str, int], None] = lambda name, rows: None) -> None:
    """One row a finding, in the order of the input, layers in their order (VERDICTS, section 8)."""
    blocks = [[[_csv_line(cells) for cells in rows] for rows in outcomes] for outcomes in outcome_rows(check)]
    with beside(path) as raw:
        text = io.TextIOWrapper(raw, encoding="utf-8", newline="")
        text.write(_csv_line(HEADER))
        for first in range(0, check.table.row_count if blocks else 0, _ROWS_AT_ONCE):
            last = min(first + _ROWS_AT_ONCE, check.table.row_count)
            text.write("".join(_specimen_lines(first, last, check, blocks)))
            step("Writing", last)
        text.flush()
        text.detach()


def _specimen_lines(first: int, last: int, check: Check, blocks: list[list[list[str]]]) -> Iterator[str]:
    catalog = check.table.columns.get("catalogNumber")
    numbers = map(_csv_cell, catalog[first:last]) if catalog else itertools.repeat("")
    for row, number, outcomes in zip(
        range(first + 1, last + 1), numbers, check.assessment.outcome[first:last].tolist(), strict=False
    ):
        head = f"{row},{number},"
        for block, outcome in zip(blocks, outcomes, strict=True):
            for line in block[outcome]:
                yield head + line


def _csv_line(cells: Sequence[str]) -> str:
    return ",".join(map(_csv_cell, cells)) + "\r\n"


_MUST_BE_QUOTED = re.compile(r'[",\r\n]')


def _csv_cell(text: str) -> str:
    """RFC 4180, section 2: quoted where it must be, a quotation mark doubled."""
    return text if _MUST_BE_QUOTED.search(text) is None else '"' + text.replace('"', '""') + '"'


def write_xlsx(check: Check, path: Path, step: Callable[[str, int], None] = lambda name, rows: None) -> None:
    """A workbook made for reading: what needs a look first, then every verdict, then how it was reached."""
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    blocks = outcome_rows(check)
    _write_summary(book, check)
    _write_rows(book, check, blocks, step)
    _write_about(book, check)
    with beside(path) as raw:
        book.save(raw)


def _write_summary(book: Any, check: Check) -> None:
    from governance.verdicts.summary import layer_counts, main_findings

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


def _write_rows(book: Any, check: Check, blocks: list[list[list[tuple[str, ...]]]], step: Callable[[str, int], None]) -> None:
    sheet = _verdict_sheet(book, "Verdicts")
    written = 1
    for (row, catalog), outcomes in zip(rows_of(check), check.assessment.outcome.tolist(), strict=True):
        for column, outcome in enumerate(outcomes):
            for cells in blocks[column][outcome]:
                if written == _SHEET_ROWS:
                    sheet, written = _verdict_sheet(book, "Verdicts, continued"), 1
                sheet.append([row, _text(sheet, catalog), *(_typed(sheet, cell, n) for n, cell in enumerate(cells))])
                written += 1
        if row % _ROWS_AT_ONCE == 0:
            step("Writing", row)


def _verdict_sheet(book: Any, title: str) -> Any:
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
    from openpyxl.cell import WriteOnlyCell

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
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font

    cell = WriteOnlyCell(sheet, value=text)
    cell.font = Font(bold=True)
    return cell


def _write_about(book: Any, check: Check) -> None:
    from governance.engine import ENGINE_VERSION

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
