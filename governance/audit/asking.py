"""What a question of the audit is, what it is asked with, and what it answers: the contract of this room.

A question is asked on two clocks. ``on``: the day in the world for which it is asked (which version was in force, what
was due). ``known_at``: the moment of the register (what had been entered by then); None: now. A question reads the
tables of the register as if there were no second clock: ``governance.audit.clocks`` puts the register of that moment in
their place while it is asked, so no question knows of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any, Final, Protocol

from django.utils.functional import Promise

Text = str | Promise
"""Words of the interface, marked for translation."""


class ParameterKind(StrEnum):
    """What a parameter asks for, as people and addresses write it: a specimen by its catalogue number, a paper by its
    reference, an accession by its number, a country by its two letters, a person or owner by the agent's key, an entry
    of uses by its number."""

    SPECIMEN = "specimen"
    PAPER = "paper"
    ACCESSION = "accession"
    COUNTRY = "country"
    AGENT = "agent"
    SITE = "site"
    SCAN = "scan"
    REPORT = "report"
    USE = "use"
    TAXON = "taxon"
    DAY = "day"
    YEAR = "year"
    DAYS = "days"
    CHOICE = "choice"


@dataclass(frozen=True)
class Parameter:
    """One thing that a question wants to know. choices: of CHOICE, code and words. default: as an address writes it."""

    key: str
    kind: ParameterKind
    label: Text
    is_required: bool = False
    default: str = ""
    help: Text = ""
    choices: tuple[tuple[str, Text], ...] = ()


class UnknownValueError(Exception):
    """A parameter names what the register does not hold (at that moment). Its text is for people to read.

    parameter: its key.
    """

    def __init__(self, parameter: str, words: str) -> None:
        super().__init__(words)
        self.parameter = parameter


@dataclass(frozen=True)
class Asked:
    """How a question is asked. values: what people wrote for each parameter, "" where nothing; ``resolve`` finds the
    records. reader: for whom; what is not open to that person stays out of the answer and is counted in it."""

    values: Mapping[str, str]
    on: date
    reader: Any
    known_at: datetime | None = None

    def __getitem__(self, key: str) -> str:
        return self.values.get(key, "")


class ColumnKind(StrEnum):
    """How a column is shown, sorted and exported. STRIP: the nine digits of a ruling. VERDICT: the number of a verdict.
    COUNTRY: two letters. MOMENT: a datetime."""

    TEXT = "text"
    NUMBER = "number"
    DAY = "day"
    MOMENT = "moment"
    TAXON = "taxon"
    COUNTRY = "country"
    VERDICT = "verdict"
    STRIP = "strip"
    CODE = "code"


@dataclass(frozen=True)
class Column:
    """A column of an answer. unit: stands beside the label, such as "m" or "days"."""

    key: str
    label: Text
    kind: ColumnKind = ColumnKind.TEXT
    unit: str = ""


Plain = str | int | float | Decimal | date | datetime | None


@dataclass(frozen=True, slots=True)
class Linked:
    """A value that leads to the page where it stands."""

    value: Plain
    address: str


Cell = Plain | Linked


@dataclass(frozen=True, slots=True)
class Row:
    """A row of an answer. key: names what the row is about, the same at every moment and on every day (such as
    ``specimen:1234`` or ``paper:7:layer:2``): by it two answers are held against each other. Unique in its answer."""

    key: str
    cells: tuple[Cell, ...]


class Rows(Protocol):
    """The rows of an answer, however many: read by slices, never all at once by a page."""

    def __len__(self) -> int: ...

    def between(self, first: int, last: int) -> Sequence[Row]:
        """The rows from ``first`` (counted from 0) up to, not including, ``last``."""

    def __iter__(self) -> Iterator[Row]: ...


@dataclass(frozen=True)
class ListedRows:
    """Rows that are few enough to be made at once."""

    rows: Sequence[Row]

    def __len__(self) -> int:
        return len(self.rows)

    def between(self, first: int, last: int) -> Sequence[Row]:
        return self.rows[first:last]

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows)


_AT_ONCE: Final = 2_000


@dataclass(frozen=True)
class QueriedRows:
    """Rows of a query that may give a million. query: ordered, by something that no two rows share at its end.
    made: rows of some results of the query: given a slice, so that what a row needs beside it is read once a slice."""

    query: Any
    made: Callable[[Sequence[Any]], Sequence[Row]]
    count: int

    def __len__(self) -> int:
        return self.count

    def between(self, first: int, last: int) -> Sequence[Row]:
        return self.made(list(self.query[first:last]))

    def __iter__(self) -> Iterator[Row]:
        slice_: list[Any] = []
        for result in self.query.iterator(chunk_size=_AT_ONCE):
            slice_.append(result)
            if len(slice_) == _AT_ONCE:
                yield from self.made(slice_)
                slice_ = []
        yield from self.made(slice_)


@dataclass(frozen=True)
class Missing:
    """Records that would be needed for a fuller answer and are not there: said, never passed over."""

    words: str
    count: int | None = None
    address: str = ""


@dataclass(frozen=True)
class Answer:
    """An answer: a sentence first, then the rows. strip: nine digits where the question is about one specimen. missing:
    which records lack. kept_back: one sentence for each sort of thing that is not open to the reader, with how many.
    notes: what the answer rests on, in sentences. total: the number that a saved question watches; None: the rows."""

    sentence: str
    columns: tuple[Column, ...]
    rows: Rows = field(default_factory=lambda: ListedRows(()))
    strip: str = ""
    missing: tuple[Missing, ...] = ()
    kept_back: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    total: int | None = None

    @property
    def count(self) -> int:
        return len(self.rows) if self.total is None else self.total


class Group(StrEnum):
    """Where a question stands in the list."""

    PERMISSION = "permission"
    TAKING = "taking"
    DUTIES = "duties"
    WHEREABOUTS = "whereabouts"
    USES = "uses"
    RECORDS = "records"
    QUALITY = "quality"


@dataclass(frozen=True)
class Question:
    """A ready question. key: its address, never changed. title: as a person asks it. answer: called inside the clocks.
    shows: what a reader learns from the answer and by which rule, in a sentence or two."""

    key: str
    group: Group
    title: Text
    shows: Text
    answer: Callable[[Asked], Answer]
    parameters: tuple[Parameter, ...] = ()


"""What the registry ``governance.audit.questions.QUESTIONS`` holds, in the order of the list."""
