"""What a file would do to the register: each row is new, as before, changed, or in need of correction."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from functools import cached_property

from accessions.intake.kept import KEPT
from accessions.intake.problems import shown
from accessions.intake.register import Known, Record
from accessions.intake.rows import FileRows, RowProblem, own_problems
from accessions.material.reading import EVENT_TERMS, event_digest
from accessions.names.digests import digest_of
from accessions.names.placing import NAME_TERMS, name_digest

Written = Mapping[str, str]
"""Text by term."""


class RowState(IntEnum):
    """What becomes of a row."""

    NEW = 0
    SAME = 1
    CHANGED = 2
    ERROR = 3


@dataclass(frozen=True)
class Difference:
    """One cell that differs from what is recorded."""

    term: str
    recorded: str
    found: str


@dataclass
class Statements:
    """The distinct statements of some columns. of_row: for each row the number of its statement."""

    written: Sequence[Written]
    digests: Sequence[str]
    of_row: Sequence[int]

    def used_by(self, rows: Iterable[int]) -> dict[str, Written]:
        """Statements of some rows, by digest."""
        return {self.digests[n]: self.written[n] for n in dict.fromkeys(self.of_row[row] for row in rows)}

    def by_digest(self) -> dict[str, Written]:
        return dict(zip(self.digests, self.written, strict=True))

    def spread(self, key_of_digest: Mapping[str, int]) -> list[int]:
        """For each row the key of its statement."""
        keys = [key_of_digest[digest] for digest in self.digests]
        return [keys[number] for number in self.of_row]


@dataclass
class Plan:
    """A file held against the register. Nothing is written by it.

    states: one a row. recorded: the specimen of each row that is there already. differences: of changed rows.
    digests: of each row. accession_of: the accession number of each row.
    """

    rows: FileRows
    events: Statements
    names: Statements
    digests: list[str]
    accession_of: Sequence[str]
    states: list[RowState] = field(default_factory=list)
    recorded: dict[int, Record] = field(default_factory=dict)
    differences: dict[int, tuple[Difference, ...]] = field(default_factory=dict)
    problems: list[RowProblem] = field(default_factory=list)

    def rows_in(self, state: RowState) -> list[int]:
        """Indexes of the rows in a state."""
        return [row for row, own in enumerate(self.states) if own is state]

    @cached_property
    def counts(self) -> Counter[RowState]:
        return Counter(self.states)

    def differs(self, row: int, terms: Iterable[str]) -> bool:
        """Whether a changed row differs in any of the terms."""
        return not {difference.term for difference in self.differences.get(row, ())}.isdisjoint(terms)

    @cached_property
    def errors_by_row(self) -> dict[int, list[RowProblem]]:
        found: dict[int, list[RowProblem]] = defaultdict(list)
        for problem in self.problems:
            if problem.is_error:
                found[problem.row].append(problem)
        return found


def make_plan(rows: FileRows, known: Known, default_accession: str = "") -> Plan:
    """Hold a file against the register.

    Args:
        known: looks up what is recorded.
        default_accession: the accession of rows that name none.
    """
    problems = own_problems(rows)
    broken = {problem.row for problem in problems}
    events = statements(rows, EVENT_TERMS, event_digest)
    names = statements(rows, NAME_TERMS, name_digest)
    digests = _row_digests(rows)
    numbers = rows.column("catalogNumber")
    found = known.by_catalog_number(set(numbers) - {""})
    accessions = _accessions(rows, found, default_accession)
    plan = Plan(rows, events, names, digests, accessions, problems=problems)
    problems += _without_accession(rows, accessions)
    problems += _elsewhere(numbers, accessions, found)
    problems += _without_parent(rows, known)
    broken = {problem.row for problem in problems}
    plan.states = _states(plan, broken, found, known)
    _compare(plan, known)
    return plan


def statements(rows: FileRows, terms: Sequence[str], digest: Callable[[Written], str]) -> Statements:
    """The distinct texts of the rows under some terms."""
    present = rows.present(terms)
    number_of: dict[tuple[str, ...], int] = {}
    of_row = [number_of.setdefault(cells, len(number_of)) for cells in rows.tuples(present)]
    written = [dict(zip(present, cells, strict=True)) for cells in number_of]
    return Statements(written, [_digest(digest, one) for one in written], of_row)


def _digest(digest: Callable[[Written], str], written: Written) -> str:
    try:
        return digest(written)
    except UnicodeEncodeError:  # a row that cannot be stored; it is refused for that
        return ""


def _row_digests(rows: FileRows) -> list[str]:
    """Digests of the rows as they came in; a column that the file lacks counts as blank.

    Blanks at the end do not count, so that a term added at the end of ``KEPT`` changes no digest.
    """
    template = "\0".join("%s" if term in rows.columns else "" for term in KEPT)
    return [_digest_of_row(template % cells) for cells in rows.tuples(rows.present(KEPT))]


def _digest_of_row(text: str) -> str:
    try:
        return digest_of((text.rstrip("\0"),))
    except UnicodeEncodeError:  # a row that cannot be stored; it is refused for that
        return ""


def _accessions(rows: FileRows, found: Mapping[str, Record], default: str) -> list[str]:
    """The accession of each row: its own, that of the file, or where it names none that of the recorded specimen."""
    stated = rows.column("accessionNumber")
    if all(stated):
        return list(stated)
    numbers = rows.column("catalogNumber")
    return [
        text or default or (found[number].accession if number in found else "")
        for text, number in zip(stated, numbers, strict=True)
    ]


def _without_accession(rows: FileRows, accessions: Sequence[str]) -> Iterable[RowProblem]:
    for row, accession in enumerate(accessions):
        if not accession:
            yield RowProblem(
                row, "accessionNumber" if "accessionNumber" in rows.columns else "", "the row names no accession",
                "Fill accessionNumber, or choose one accession for the rows that name none.",
            )  # fmt: skip


def _elsewhere(numbers: Sequence[str], accessions: Sequence[str], found: Mapping[str, Record]) -> Iterable[RowProblem]:
    for row, number in enumerate(numbers):
        record = found.get(number)
        if record and accessions[row] and record.accession != accessions[row]:
            yield RowProblem(
                row, "catalogNumber",
                f"{shown(number)} is recorded in accession {record.accession}, not in {accessions[row]}",
                "Correct the number or the accession; a specimen is moved between accessions on its own page.",
            )  # fmt: skip


def _without_parent(rows: FileRows, known: Known) -> Iterable[RowProblem]:
    parents = rows.column("takenFrom")
    stated = set(parents) - {""}
    if not stated:
        return
    numbers = rows.column("catalogNumber")
    missing = stated - set(numbers)
    missing -= known.by_catalog_number(missing).keys()
    for row, parent in enumerate(parents):
        if parent and parent == numbers[row]:
            yield RowProblem(
                row, "takenFrom", f"{shown(parent)} would be taken from itself", "Name the whole specimen."
            )
        elif parent in missing:
            yield RowProblem(
                row, "takenFrom", f"there is no specimen {shown(parent)}",
                "Name a catalogue number of the register or of this file.",
            )  # fmt: skip


def _states(plan: Plan, broken: set[int], found: Mapping[str, Record], known: Known) -> list[RowState]:
    numbers = plan.rows.column("catalogNumber")
    unnumbered = known.unnumbered({plan.accession_of[row] for row, number in enumerate(numbers) if not number})
    states = []
    for row, number in enumerate(numbers):
        if row in broken:
            states.append(RowState.ERROR)
        elif not number:
            key = (plan.accession_of[row], plan.digests[row])
            was_there = unnumbered[key] > 0
            unnumbered[key] -= was_there
            states.append(RowState.SAME if was_there else RowState.NEW)
        elif record := found.get(number):
            plan.recorded[row] = record
            states.append(RowState.SAME if record.digest == plan.digests[row] else RowState.CHANGED)
        else:
            states.append(RowState.NEW)
    return states


def _compare(plan: Plan, known: Known) -> None:
    """Find what differs, cell by cell; a row whose text differs only from an older file is as before."""
    rows = plan.rows_in(RowState.CHANGED)
    recorded = known.written([plan.recorded[row].pk for row in rows])
    terms = [term for term in plan.rows.present(KEPT) if term != "accessionNumber"]
    for row in rows:
        old = recorded[plan.recorded[row].pk]
        pairs = ((term, old.get(term, ""), plan.rows.columns[term][row]) for term in terms)
        differences = tuple(Difference(*pair) for pair in pairs if pair[1] != pair[2])
        if differences:
            plan.differences[row] = differences
        else:
            plan.states[row] = RowState.SAME
