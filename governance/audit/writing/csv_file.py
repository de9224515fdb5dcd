"""An answer as CSV: how it was asked, an empty line, then the heads and all rows."""

from __future__ import annotations

import csv
from collections.abc import Callable, Sequence
from typing import IO

from accessions.people.csv_answers import guarded
from governance.audit.asking import Answer, Column, Plain
from governance.audit.writing.cells import heading, iso_words, kept, plain
from governance.audit.writing.told import Line


def write_csv(file: IO[str], head: Sequence[Line], answer: Answer) -> None:
    """Write the whole. UTF-8 with the mark by which spreadsheet programs know it."""
    writer = csv.writer(file)
    file.write("\ufeff")
    writer.writerows([guarded(text) for text in line] for line in head)
    writer.writerow([])
    writer.writerow([guarded(heading(column)) for column in answer.columns])
    columns = [_written(column) for column in answer.columns]
    for row in answer.rows:
        writer.writerow([write(plain(cell)) for write, cell in zip(columns, row.cells, strict=True)])


def _written(column: Column) -> Callable[[Plain], str]:
    return kept(lambda value: str(guarded(iso_words(column, value))))
