"""What the pages of a file show: its columns, the counts of its rows, what is said of them, what differs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any, Final

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.intake.actions.arrange import KEEP, TAKE
from accessions.intake.columns import header_key, recognise
from accessions.intake.forms import MappingForm
from accessions.intake.grid import TextTable
from accessions.intake.label_dates import date_columns
from accessions.intake.models import Batch
from accessions.intake.oddities import warnings_of
from accessions.intake.plan import Difference, Plan, RowState
from accessions.intake.queries import Forecast, forecast
from accessions.intake.rows import RowProblem
from accessions.intake.stored import COUNTRY_BY_NAME, plan_of, rows_as_written

_SAMPLES: Final = 3
_LONGEST_SAMPLE: Final = 60
LONG_WORK_ROWS: Final = 20_000
"""From so many rows on a page says how long a commit takes."""
_ROWS_A_SECOND: Final = 5_000
"""Rows that a commit writes in a second on a machine of two cores (tests/bench/run_intake.py), rounded down."""


@dataclass(frozen=True)
class ColumnView:
    """One column of a file: some of its texts, how many rows fill it, and its pick list."""

    header: str
    samples: tuple[str, ...]
    filled: int
    field: Any
    is_recognised: bool

    @property
    def is_aside(self) -> bool:
        return not self.field.value()


def columns_of(table: TextTable, form: MappingForm, mapping: Mapping[str, str]) -> list[ColumnView]:
    """The columns of a file: first those that are left aside, since they need a look; each group in its order."""
    recognised = {table.columns[index]: term for term, index in recognise(table.columns).by_term.items()}
    views = []
    for index, header in enumerate(table.columns):
        texts = [text for cell in table.data[index] if (text := cell.strip())]
        samples = tuple(text[:_LONGEST_SAMPLE] for text in islice(dict.fromkeys(texts), _SAMPLES))
        term = mapping.get(header)
        by_itself = (bool(term) and recognised.get(header) == term) or (header_key(header), term) == COUNTRY_BY_NAME
        views.append(ColumnView(header, samples, len(texts), form[f"column-{index}"], by_itself))
    return sorted(views, key=lambda view: bool(mapping.get(view.header)))


@dataclass(frozen=True)
class Preview:
    """A plan with what it would make and what is odd about its rows."""

    plan: Plan
    forecast: Forecast
    warnings: Sequence[RowProblem]
    open_changes: int
    open_dates: int
    """Rows whose dates could be put into standard form and about which nobody has said anything."""

    @property
    def rows(self) -> int:
        return len(self.plan.rows)

    @property
    def new(self) -> int:
        return self.plan.counts[RowState.NEW]

    @property
    def same(self) -> int:
        return self.plan.counts[RowState.SAME]

    @property
    def changed(self) -> int:
        return self.plan.counts[RowState.CHANGED]

    @property
    def errors(self) -> int:
        return self.plan.counts[RowState.ERROR]

    @property
    def good(self) -> int:
        return self.rows - self.errors

    @property
    def warned_rows(self) -> int:
        return len({problem.row for problem in self.warnings})

    @property
    def writes_nothing(self) -> bool:
        return not self.new and not self.changed

    @property
    def lacks_accession(self) -> bool:
        """Whether rows name none themselves, so that a choice matters."""
        return not all(self.plan.rows.column("accessionNumber"))

    @property
    def is_long_work(self) -> bool:
        return self.rows > LONG_WORK_ROWS

    @property
    def seconds(self) -> int:
        return max(1, self.rows // _ROWS_A_SECOND)


def preview_of(batch: Batch) -> Preview:
    """Read the stored file and hold it against the register. It queries."""
    plan = plan_of(batch)
    return Preview(plan, forecast(plan), warnings_of(plan), _open_changes(plan, batch.changes), _open_dates(batch))


def _open_dates(batch: Batch) -> int:
    columns = date_columns(rows_as_written(batch))
    return sum(column.offered_rows for column in columns if column.term not in batch.dates)


def _answer(plan: Plan, row: int, answers: Mapping[str, Any]) -> str:
    answer = answers.get("rows", {}).get(str(plan.rows.row_numbers[row]), answers.get("all", ""))
    return str(answer)


def _open_changes(plan: Plan, answers: Mapping[str, Any]) -> int:
    return sum(_answer(plan, row, answers) not in (TAKE, KEEP) for row in plan.rows_in(RowState.CHANGED))


@dataclass(frozen=True)
class Said:
    """One error or warning, with its row as a person finds it."""

    number: int
    catalog_number: str
    header: str
    problem: RowProblem


def said_of_rows(preview: Preview, show: str, asked: Mapping[str, str]) -> list[Said]:
    """Errors, then warnings, each in the order of the rows.

    Args:
        show: "errors", "warnings", or anything else for both.
        asked: may hold "column", a header to narrow to.
    """
    plan = preview.plan
    errors = sorted((problem for problem in plan.problems if problem.is_error), key=lambda problem: problem.row)
    problems = [*(errors if show != "warnings" else ()), *(preview.warnings if show != "errors" else ())]
    numbers = plan.rows.column("catalogNumber")
    column = asked.get("column", "")
    said = (
        Said(plan.rows.row_numbers[p.row], numbers[p.row], plan.rows.header_of.get(p.term, p.term), p) for p in problems
    )
    return [one for one in said if not column or one.header == column]


def said_by_column(preview: Preview) -> list[tuple[str, int]]:
    """How many errors and warnings there are of each column, most first."""
    headers = preview.plan.rows.header_of
    found = Counter(headers.get(p.term, p.term) for p in (*preview.plan.problems, *preview.warnings))
    return found.most_common()


@dataclass(frozen=True)
class Differing:
    """A row that differs from what is recorded, and its answer."""

    number: int
    catalog_number: str
    specimen: int
    differences: tuple[Difference, ...]
    answer: str


def differing_rows(preview: Preview, batch: Batch) -> list[Differing]:
    """The rows that differ, in the order of the file; those without an answer first."""
    plan = preview.plan
    numbers = plan.rows.column("catalogNumber")
    rows = [
        Differing(
            plan.rows.row_numbers[row],
            numbers[row],
            plan.recorded[row].pk,
            plan.differences[row],
            _answer(plan, row, batch.changes),
        )
        for row in plan.rows_in(RowState.CHANGED)
    ]
    return sorted(rows, key=lambda row: row.answer in (TAKE, KEEP))


def row_answers(posted: Mapping[str, str]) -> dict[str, str]:
    """Answers of a form whose fields are ``row-14`` for row 14."""
    return {name[4:]: answer for name, answer in posted.items() if name.startswith("row-") and name[4:].isdecimal()}


_PARTS: Final[dict[str, Callable[[int], str]]] = {
    "new": lambda n: ngettext("%(n)s row is new", "%(n)s rows are new", n),
    "same": lambda n: ngettext("%(n)s was there as before", "%(n)s were there as before", n),
    "changed": lambda n: ngettext("%(n)s was changed", "%(n)s were changed", n),
    "kept": lambda n: ngettext("%(n)s was kept as recorded", "%(n)s were kept as recorded", n),
    "errors": lambda n: ngettext("%(n)s was left out", "%(n)s were left out", n),
}


def summary_words(summary: Mapping[str, int]) -> str:
    """What a commit did, in a sentence; "" before a commit."""
    parts = [words(n) % {"n": f"{n:,}"} for key, words in _PARTS.items() if (n := summary.get(key, 0))]
    return _("In the register: %(parts)s.") % {"parts": ", ".join(parts)} if parts else ""
