"""The verdicts out as CSV, for exchange. Written beside, then renamed: never half a file."""

from __future__ import annotations

import io
import itertools
import os
import re
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import IO, Any

from governance.engine import Finding, Verdict
from governance.engine.pairs import Edition
from governance.verdicts.check import Check, Step, no_step

HEADER = ("row", "catalogNumber", "layer", "verdict", "paper", "version_from", "finding", "measure", "against", "unit",
          "sentence")  # fmt: skip
"""Columns of the exchange file: VERDICTS, section 8."""

ROWS_AT_ONCE = 5_000
"""Specimens between two words of progress."""


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
        [(layer, verdicts[verdict], *papers[editions], *_finding_cells(f), sentence) for f, sentence in explained]
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


def write_csv(check: Check, path: Path, step: Step = no_step) -> None:
    """One row a finding, in the order of the input, layers in their order (VERDICTS, section 8)."""
    blocks = [[[_csv_line(cells) for cells in rows] for rows in outcomes] for outcomes in outcome_rows(check)]
    with beside(path) as raw:
        text = io.TextIOWrapper(raw, encoding="utf-8", newline="")
        text.write(_csv_line(HEADER))
        for first in range(0, check.table.row_count if blocks else 0, ROWS_AT_ONCE):
            last = min(first + ROWS_AT_ONCE, check.table.row_count)
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
