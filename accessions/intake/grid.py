"""Rows come in, columns of text come out: the header, ragged and blank rows, shared strings."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import compress, filterfalse

from accessions.intake import limits
from accessions.intake.problems import FileProblems, Problem, listed, refusal, shown

Progress = Callable[[int], None]
"""Called now and then with the number of rows read so far."""

POOL_TRIAL_ROWS = 20_000
POOL_WORTH_SHARE = 0.5
"""A column with more distinct values than this share of its rows gains nothing from sharing them."""


@dataclass
class TextTable:
    """A table of a file, every cell as text.

    columns: the headers as written. data: one list a column, all equally long. row_numbers: the row of the file
    (from 1, the header counted) that each entry comes from. notes: what was detected and is said to the person.
    problems: warnings; errors are raised, not kept. encoding and separator are "" for spreadsheets.
    """

    file: str
    sheet: str = ""
    encoding: str = ""
    separator: str = ""
    columns: list[str] = field(default_factory=list)
    data: list[list[str]] = field(default_factory=list)
    row_numbers: Sequence[int] = ()
    notes: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def where(self, row: int = 0, column: str = "") -> str:
        """Words for a place in this table."""
        return place_words(self.sheet, row, column)


def place_words(sheet: str = "", row: int = 0, column: str = "") -> str:
    """``sheet "Specimens", row 14, column "eventDate"``, of which any part may be left out."""
    parts = [
        f"sheet {shown(sheet)}" if sheet else "",
        f"row {row}" if row else "",
        f"column {shown(column)}" if column else "",
    ]
    return ", ".join(part for part in parts if part)


class Grid:
    """Collects rows under a header, column by column.

    Equal strings of a column are made one object, so that a million rows that say "Odonata" hold it once.
    """

    def __init__(self, file: str, sheet: str, header: Sequence[str], header_row: int) -> None:
        """Start with the header row.

        Raises:
            FileProblems: too many columns, or two columns of one name.
        """
        self.file, self.sheet = file, sheet
        self.header = _trimmed_header(header)
        self._refuse_header(header_row)
        width = len(self.header)
        self.data: list[list[str]] = [[] for _ in range(width)]
        self._pools: list[dict[str, str] | None] = [{} for _ in range(width)]
        self._rows = array("q")
        self._next_row = header_row + 1
        self.problems: list[Problem] = []
        self.problem_count = 0

    def __len__(self) -> int:
        return len(self._rows)

    def _refuse_header(self, row: int) -> None:
        if len(self.header) > limits.MAX_COLUMNS:
            raise refusal(
                self.file,
                place_words(self.sheet, row),
                f"the header has {len(self.header):,} columns",
                f"At most {limits.MAX_COLUMNS} are read; check the separator and the first row.",
            )
        named = [name for name in self.header if name]
        doubled = sorted({name for name in named if named.count(name) > 1})
        if doubled:
            raise refusal(
                self.file,
                place_words(self.sheet, row),
                f"two columns have one header: {listed(doubled)}",
                "Give every column a header of its own.",
            )

    def problem(self, row: int, column: str, found: str, expected: str) -> None:
        """Note an error; only the first ones are kept, all are counted."""
        self.problem_count += 1
        if len(self.problems) <= limits.MAX_PROBLEMS:
            self.problems.append(Problem(self.file, place_words(self.sheet, row, column), found, expected))

    def add_rows(self, rows: list[list[str]]) -> None:
        """Rows of any width, in the order of the file, none left out: long ones are errors, short ones are filled."""
        first, width = self._next_row, len(self.header)
        self._next_row += len(rows)
        numbers: Sequence[int] = range(first, first + len(rows))
        if {*map(len, rows)} != {width}:
            rows, numbers = self._squared(rows, numbers)
        if rows:
            self._add(list(zip(*rows, strict=True)), numbers)

    def add_columns(self, columns: Sequence[Sequence[str]], row_count: int) -> None:
        """The same for rows that come as columns already."""
        numbers = range(self._next_row, self._next_row + row_count)
        self._next_row += row_count
        self._add(columns, numbers)

    def _squared(self, rows: list[list[str]], numbers: Sequence[int]) -> tuple[list[list[str]], Sequence[int]]:
        width = len(self.header)
        kept, kept_numbers = [], []
        for row, number in zip(rows, numbers, strict=True):
            if not row:
                continue
            if len(row) > width:
                if any(cell.strip() for cell in row[width:]):
                    self.problem(
                        number,
                        "",
                        f"the row has {len(row)} cells, the header {width}",
                        "No row has more cells than the header; put a cell that holds the separator in quotes.",
                    )
                row = row[:width]
            kept.append(row + [""] * (width - len(row)))
            kept_numbers.append(number)
        return kept, kept_numbers

    def _add(self, columns: Sequence[Sequence[str]], numbers: Sequence[int]) -> None:
        blank = _blank_rows(columns)
        if blank:
            keep = [True] * len(numbers)
            for index in blank:
                keep[index] = False
            columns = [tuple(compress(column, keep)) for column in columns]
            numbers = tuple(compress(numbers, keep))
        self._rows.extend(numbers)
        for index, column in enumerate(columns):
            self._extend(index, column)

    def _extend(self, index: int, column: Sequence[str]) -> None:
        held, pool = self.data[index], self._pools[index]
        if pool is None or not any(column):
            held.extend(column)
            return
        if column[0] == column[-1] and column.count(column[0]) == len(column):
            held.extend([pool.setdefault(column[0], column[0])] * len(column))
            return
        held.extend(map(pool.setdefault, column, column))
        if len(held) > POOL_TRIAL_ROWS and len(pool) > POOL_WORTH_SHARE * len(held):
            self._pools[index] = None

    def finish(self, encoding: str = "", separator: str = "") -> TextTable:
        """The table.

        Raises:
            FileProblems: any row was too long, or a column without a header holds something; all of them at once.
        """
        self._report_blank_headers()
        if self.problem_count:
            raise FileProblems(self._problems_and_rest())
        named = [index for index, name in enumerate(self.header) if name]
        return TextTable(
            self.file,
            self.sheet,
            encoding,
            separator,
            [self.header[i] for i in named],
            [self.data[i] for i in named],
            self._row_numbers(),
        )

    def _problems_and_rest(self) -> Iterable[Problem]:
        rest = self.problem_count - limits.MAX_PROBLEMS
        yield from self.problems[: limits.MAX_PROBLEMS]
        if rest > 0:
            yield Problem(
                self.file, "", f"{rest:,} more problems like these", "Put these right first, then read it again."
            )

    def _report_blank_headers(self) -> None:
        for index, name in enumerate(self.header):
            if name:
                continue
            first = next((i for i, cell in enumerate(self.data[index]) if cell and not cell.isspace()), None)
            if first is not None:
                self.problem(
                    self._rows[first],
                    "",
                    f"column {index + 1} has no header but holds {shown(self.data[index][first])}",
                    "Give the column a header, or empty it.",
                )

    def _row_numbers(self) -> Sequence[int]:
        rows = self._rows
        if not rows or rows[-1] - rows[0] == len(rows) - 1:
            return range(rows[0], rows[-1] + 1) if rows else range(0)
        return rows


def _trimmed_header(header: Sequence[str]) -> list[str]:
    """Headers without blanks around them; nameless columns at the end are kept, as they may hold something."""
    return [name.strip() for name in header]


def _blank_rows(columns: Sequence[Sequence[str]]) -> list[int]:
    """Rows whose every cell is empty or white space: blank lines are no rows (VERDICTS, section 8)."""
    if not columns:
        return []
    blank = [i for i, cell in enumerate(columns[0]) if not cell or cell.isspace()]
    for column in columns[1:]:
        if not blank:
            break
        blank = list(filterfalse(lambda i, column=column: column[i].strip(), blank))  # type: ignore[misc]
    return blank
