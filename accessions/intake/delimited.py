"""Text with separators (CSV, TSV, TXT): RFC 4180, with the separator found out."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from itertools import islice
from typing import IO, Final, Literal

from accessions.intake import limits
from accessions.intake.encodings import Encoding, detect_encoding
from accessions.intake.grid import Grid, Progress, TextTable, place_words
from accessions.intake.problems import FileProblems, refusal

SEPARATORS: Final = {",": "comma", ";": "semicolon", "\t": "tab", "|": "vertical bar"}
_SAMPLE_CHARACTERS: Final = 64 * 1024
_SAMPLE_ROWS: Final = 50
_CONSISTENT_SHARE: Final = 0.9


@dataclass(frozen=True)
class Dialect:
    """How cells are parted. quote "": nothing is quoted."""

    separator: str
    quote: str = '"'


def read_delimited(stream: IO[bytes], file: str, progress: Progress | None = None) -> TextTable:
    """A table of a text file.

    Raises:
        FileProblems: what ``detect_encoding`` and ``Grid`` refuse, an unclosed quotation mark, a cell over the limit,
            no header.
    """
    encoding = detect_encoding(stream, file)
    with _opened(stream, encoding) as text:
        separator = sniff_separator(text.read(_SAMPLE_CHARACTERS))
    stream.seek(0)
    with _opened(stream, encoding) as text:
        records = Records(text, file, Dialect(separator))
        header, header_row = records.header()
        grid = Grid(file, "", header, header_row)
        records.fill(grid, progress)
    table = grid.finish(encoding.name, separator)
    table.notes += [note for note in (encoding.note, _separator_note(separator)) if note]
    return table


@contextmanager
def _opened(stream: IO[bytes], encoding: Encoding) -> Iterator[io.TextIOWrapper]:
    """The stream as text; it stays open afterwards."""
    text = io.TextIOWrapper(stream, encoding=encoding.name, newline="")
    try:
        yield text
    finally:
        text.detach()


def _separator_note(separator: str) -> str:
    return "" if separator == "," else f"Cells are separated by the {SEPARATORS[separator]}."


def sniff_separator(sample: str) -> str:
    """The separator that parts the header in two or more and does so for nearly every row alike; most columns win.

    A text of one column has none; it is read with the comma.
    """
    scores = {separator: _score(sample, separator) for separator in SEPARATORS}
    best = max(scores, key=lambda separator: scores[separator])
    return best if scores[best] > (False, 1, 0.0) else ","


def _score(sample: str, separator: str) -> tuple[bool, int, float]:
    rows = list(_sample_rows(sample, separator))
    if not rows:
        return (False, 0, 0.0)
    width = len(rows[0])
    share = sum(len(row) == width for row in rows) / len(rows)
    return (share >= _CONSISTENT_SHARE and width > 1, width, share)


def _sample_rows(sample: str, separator: str) -> Iterator[list[str]]:
    """Rows of the sample that are not blank; the last one may be cut through and is left out if there are others."""
    reader = csv.reader(io.StringIO(sample, newline=""), delimiter=separator)
    rows: list[list[str]] = []
    with suppress(
        csv.Error
    ):  # a cell over the limit: the rows before it tell enough, and the reading proper reports it
        rows.extend(row for row in islice(reader, _SAMPLE_ROWS) if any(row))
    cut = len(rows) > 1 and len(sample) == _SAMPLE_CHARACTERS
    return iter(rows[:-1] if cut else rows)


class Records:
    """The records of a text, one after the other, with their numbers from 1."""

    def __init__(self, text: io.TextIOBase, file: str, dialect: Dialect) -> None:
        self._file = file
        self._read = 0
        quoting: Literal[0, 3] = csv.QUOTE_MINIMAL if dialect.quote else csv.QUOTE_NONE
        self._reader = csv.reader(
            text, delimiter=dialect.separator, quotechar=dialect.quote or None, quoting=quoting, strict=True
        )

    def header(self) -> tuple[list[str], int]:
        """The first record that is not blank, and its number.

        Raises:
            FileProblems: there is none.
        """
        for record in self._taken(limits.MAX_LINE_BYTES):
            if any(cell.strip() for cell in record):
                return record, self._read
        raise refusal(self._file, "", "the file is empty", "A table has a row of headers and rows below it.")

    def skip(self, count: int) -> None:
        """Leave out records."""
        for _ in self._taken(count):
            pass

    def fill(self, grid: Grid, progress: Progress | None = None) -> None:
        """Read all that is left into a grid."""
        told = 0
        while True:
            rows = self._taken_at_once(limits.CHUNK_ROWS)
            if not rows:
                return
            grid.add_rows(rows)
            if progress and len(grid) - told >= limits.PROGRESS_ROWS:
                told = len(grid)
                progress(len(grid))

    def _taken(self, count: int) -> Iterator[list[str]]:
        for _ in range(count):
            rows = self._taken_at_once(1)
            if not rows:
                return
            yield rows[0]

    def _taken_at_once(self, count: int) -> list[list[str]]:
        with _cell_limit():
            rows: list[list[str]] = []
            try:
                rows.extend(islice(self._reader, count))
            except csv.Error as error:
                raise self._refusal(error, self._read + len(rows) + 1) from error
        self._read += len(rows)
        return rows

    def _refusal(self, error: csv.Error, row: int) -> FileProblems:
        where = place_words(row=row)
        if "field larger" in str(error):
            return refusal(
                self._file,
                where,
                f"a cell is longer than {limits.MAX_CELL_CHARACTERS:,} characters",
                "Shorten it; or close a quotation mark that was left open in this row.",
            )
        return refusal(
            self._file,
            where,
            "a quotation mark is not closed, or text stands after a closing one",
            'A cell in quotation marks ends with one; a quotation mark inside it is doubled ("").',
        )


@contextmanager
def _cell_limit() -> Iterator[None]:
    """The csv module's limit of a cell, which is one for the whole process, is ours while we read."""
    former = csv.field_size_limit(limits.MAX_CELL_CHARACTERS)
    try:
        yield
    finally:
        csv.field_size_limit(former)
