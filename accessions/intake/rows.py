"""The rows of a file under the terms that its columns were mapped to."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from accessions.intake.grid import TextTable, place_words
from accessions.intake.guarding import REASONS, unguarded
from accessions.intake.kept import KEPT, LONGEST
from accessions.intake.problems import Severity, shown
from accessions.intake.specimens import filled_column

UNSTORABLE: Final = re.compile("[\0\ud800-\udfff]")
"""NUL, which PostgreSQL refuses, and halves of characters, which no encoding can write."""


@dataclass(frozen=True)
class RowProblem:
    """What is wrong with one row. row: index from 0. term: the column, "" for the row as a whole."""

    row: int
    term: str
    found: str
    expected: str
    severity: Severity = "error"

    @property
    def is_error(self) -> bool:
        return self.severity == "error"

    def __str__(self) -> str:
        return f"{self.found}. {self.expected}".strip()


@dataclass(frozen=True)
class FileRows:
    """Rows of a file, column by column.

    columns: by term, only terms that are kept and that the file has; texts trimmed, "" where blank. row_numbers: rows
    of the file, the header counted. header_of: the header of each term. aside: headers that are not kept; they stay in
    the stored file. country_names: names that were put as codes, with the codes.
    """

    file: str
    sheet: str
    columns: Mapping[str, Sequence[str]]
    row_numbers: Sequence[int]
    header_of: Mapping[str, str] = field(default_factory=dict)
    aside: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    country_names: tuple[tuple[str, str], ...] = ()

    def __len__(self) -> int:
        return len(self.row_numbers)

    def column(self, term: str) -> Sequence[str]:
        """The texts of a term, blank where the file has no such column."""
        return self.columns[term] if term in self.columns else [""] * len(self)

    def present(self, terms: Iterable[str]) -> list[str]:
        """Those of the terms that the file has."""
        return [term for term in terms if term in self.columns]

    def tuples(self, terms: Sequence[str]) -> Iterator[tuple[str, ...]]:
        """For each row its texts under terms that the file has."""
        if not terms:
            return iter([()] * len(self))
        return zip(*(self.columns[term] for term in terms), strict=True)

    def where(self, problem: RowProblem) -> str:
        """Words for the place of a problem, in the headers of the file."""
        header = self.header_of.get(problem.term, problem.term)
        return place_words(self.sheet, self.row_numbers[problem.row], header)

    def with_columns(self, columns: Mapping[str, Sequence[str]], rows: Sequence[int]) -> FileRows:
        """The same file with other columns, of some rows alone."""
        return replace(self, columns=columns, row_numbers=[self.row_numbers[row] for row in rows])

    def subset(self, rows: Sequence[int]) -> FileRows:
        """Some rows alone (indexes)."""
        return self.with_columns({term: [cells[row] for row in rows] for term, cells in self.columns.items()}, rows)


def rows_of(table: TextTable, term_of_header: Mapping[str, str], notes: Sequence[str] = ()) -> FileRows:
    """Put a table under its terms. term_of_header: "" or a term that is not kept leaves a column aside."""
    wanted = frozenset(KEPT)
    was_given_back = REASONS in table.columns and not table.sheet
    columns, headers, aside = {}, {}, []
    for index, header in enumerate(table.columns):
        term = term_of_header.get(header, "")
        if term in wanted:
            cells = [unguarded(text) for text in table.data[index]] if was_given_back else table.data[index]
            columns[term] = filled_column(cells, term)
            headers[term] = header
        else:
            aside.append(header)
    return FileRows(table.file, table.sheet, columns, table.row_numbers, headers, tuple(aside), tuple(notes))


def own_problems(rows: FileRows) -> list[RowProblem]:
    """What is wrong with rows whatever the register holds: unstorable characters, long texts, repeated numbers."""
    problems = list(_unstorable(rows))
    problems += _too_long(rows)
    problems += _repeated(rows)
    return problems


def _unstorable(rows: FileRows) -> Iterator[RowProblem]:
    for term, cells in rows.columns.items():
        for text in set(cells):
            if UNSTORABLE.search(text):
                for row in _rows_with(cells, text):
                    yield RowProblem(
                        row, term, f"{shown(text)} holds a character that cannot be stored",
                        "Take out what a text editor shows as an empty box or NUL, and save the file as UTF-8.",
                    )  # fmt: skip


def _too_long(rows: FileRows) -> Iterator[RowProblem]:
    for term, limit in LONGEST.items():
        cells = rows.columns.get(term, ())
        if max(map(len, cells), default=0) <= limit:
            continue
        for row, text in enumerate(cells):
            if len(text) > limit:
                yield RowProblem(
                    row,
                    term,
                    f"{shown(text)} has {len(text):,} characters",
                    f"At most {limit:,} can be kept: shorten it.",
                )


def _rows_with(cells: Sequence[str], text: str) -> list[int]:
    return [row for row, cell in enumerate(cells) if cell == text]


def _repeated(rows: FileRows) -> Iterator[RowProblem]:
    cells = rows.columns.get("catalogNumber", ())
    counts = Counter(cells)
    counts.pop("", None)
    if len(counts) == len(cells) or not counts or counts.most_common(1)[0][1] == 1:
        return
    places: dict[str, list[int]] = {}
    for row, text in enumerate(cells):
        if counts[text] > 1:
            places.setdefault(text, []).append(row)
    for text, found in places.items():
        for row in found:
            others = [str(rows.row_numbers[other]) for other in found if other != row]
            named = ", ".join(others[:5]) + (" and more" if len(others) > 5 else "")
            word = "row" if len(others) == 1 else "rows"
            yield RowProblem(
                row, "catalogNumber", f"{shown(text)} stands in {word} {named} too",
                "Every specimen has a number of its own: correct the number, or take out what was entered twice.",
            )  # fmt: skip
