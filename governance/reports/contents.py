"""What a report says, without words of a language and without a format: facts, tables, figures that rows prove, notes.

A figure is never typed: it is a measure over the rows of a table that meet a condition (``Proof``), so every number
opens the rows behind it, on the screen and in the workbook. Values of rows are text, whole numbers, decimals as text,
days as ISO text, or None.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import Any, Final, Self

Value = str | int | None
Row = Sequence[Value]

ROWS: Final = "rows"
SUM, DISTINCT = "sum:", "distinct:"
"""Measures: how many rows, the sum of a column, how many different values of a column (blank ones left out)."""

YEAR: Final = "year:"
"""Before a column of days in ``Proof.where``: only its year is compared, as in ``{"year:first_on": "2024"}``."""


class ColumnType(StrEnum):
    """How the values of a column are written. WORD: a code that the language names in the group ``Column.words``."""

    TEXT = "text"
    NUMBER = "number"
    DECIMAL = "decimal"
    DAY = "day"
    TAXON = "taxon"
    WORD = "word"
    COUNTRY = "country"


@dataclass(frozen=True)
class Column:
    """A column. key: named by the language in the group ``columns``. words: of WORD, the group of its codes."""

    key: str
    type: ColumnType = ColumnType.TEXT
    words: str = ""


@dataclass(frozen=True)
class TableData:
    """A table of a report. key: named by the language in the group ``tables``."""

    key: str
    columns: tuple[Column, ...]
    rows: Sequence[Row] = ()

    def place(self, column: str) -> int:
        """Where a column stands.

        Raises:
            KeyError: the table has no such column.
        """
        for place, one in enumerate(self.columns):
            if one.key == column:
                return place
        raise KeyError(f"table {self.key} has no column {column}; it has {[one.key for one in self.columns]}")


@dataclass(frozen=True)
class Proof:
    """By what a number is proved: the rows of a table whose columns have these values, of ``YEAR + column`` that year.
    measure: ``ROWS``, ``SUM + column`` or ``DISTINCT + column``."""

    table: str
    where: Mapping[str, Value] = field(default_factory=dict)
    measure: str = ROWS


@dataclass(frozen=True)
class Figure:
    """A number of the report. key: its sentence in the group ``figures`` of the language."""

    key: str
    value: str
    proof: Proof
    unit: str = ""


@dataclass(frozen=True)
class Fact:
    """Something that is said on the first page. key: its name in the group ``facts``. type, words: as of a column."""

    key: str
    value: Value
    type: ColumnType = ColumnType.TEXT
    words: str = ""


@dataclass(frozen=True)
class Note:
    """A sentence. key: in the group ``notes`` of the language, with these values. part: the part in which it stands.
    proof: the rows that show it, if there are any."""

    key: str
    part: str
    values: Mapping[str, Value] = field(default_factory=dict)
    proof: Proof | None = None


@dataclass(frozen=True)
class Disclosure:
    """What a report discloses, and what it keeps back. places: ``exact``, ``site``, ``region`` or ``none``. kept_back:
    notes of the part "disclosure", each with how many there are."""

    reader: str
    places: str
    names_owners: bool = False
    kept_back: tuple[Note, ...] = ()


@dataclass(frozen=True)
class Point:
    """A place on the map of a report. radius_m: None where it is not known."""

    label: str
    longitude_deg: float
    latitude_deg: float
    radius_m: float | None = None


@dataclass(frozen=True)
class MapData:
    """Areas (GeoJSON, longitude first, WGS84) with their names, and points."""

    areas: tuple[tuple[str, str], ...] = ()
    points: tuple[Point, ...] = ()


@dataclass(frozen=True)
class Contents:
    """A whole report. subject: what it is about, in words that need no language. made_on: the day of the register that
    it tells of. tables: in their order. parts: keys of the parts it has, in order; those a person left out are not in.
    papers: keys of the papers of which it tells, for whoever may not read one of them later.
    """

    kind: str
    reference: str
    subject: str
    country: str
    made_on: str
    period_from: str | None
    period_to: str | None
    disclosure: Disclosure
    parts: tuple[str, ...]
    facts: tuple[Fact, ...] = ()
    figures: tuple[Figure, ...] = ()
    notes: tuple[Note, ...] = ()
    texts: Mapping[str, str] = field(default_factory=dict)
    map: MapData | None = None
    papers: tuple[int, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """All of it as JSON holds it; the rows of the tables are kept beside it."""
        return asdict(self)

    @classmethod
    def from_json(cls, told: Mapping[str, Any]) -> Self:
        """The way back."""
        known = dict(told)
        known["disclosure"] = Disclosure(
            **{**told["disclosure"], "kept_back": tuple(map(_note, told["disclosure"]["kept_back"]))}
        )
        known["parts"], known["papers"] = tuple(told["parts"]), tuple(told.get("papers", ()))
        known["facts"] = tuple(Fact(**{**one, "type": ColumnType(one["type"])}) for one in told["facts"])
        known["figures"] = tuple(Figure(**{**one, "proof": Proof(**one["proof"])}) for one in told["figures"])
        known["notes"] = tuple(map(_note, told["notes"]))
        known["map"] = None if told["map"] is None else MapData(
            tuple((name, area) for name, area in told["map"]["areas"]),
            tuple(Point(**one) for one in told["map"]["points"]),
        )  # fmt: skip
        return cls(**known)


@dataclass(frozen=True)
class Composed:
    """A report with its tables, as it is composed from the register and as it is read back."""

    contents: Contents
    tables: Mapping[str, TableData]


def _note(told: Mapping[str, Any]) -> Note:
    return Note(**{**told, "proof": Proof(**told["proof"]) if told["proof"] else None})


def rows_behind(proof: Proof, table: TableData) -> list[Row]:
    """The rows that a proof names.

    Raises:
        KeyError: the table lacks a column that the proof names.
    """
    whole = [(table.place(column), value) for column, value in proof.where.items() if not column.startswith(YEAR)]
    years = [(table.place(c.removeprefix(YEAR)), v) for c, v in proof.where.items() if c.startswith(YEAR)]
    if not proof.where:
        return list(table.rows)
    if len(whole) == len(proof.where) == 1:  # nearly every proof, over tables that may be long
        ((place, value),) = whole
        return [row for row in table.rows if row[place] == value]
    return [
        row for row in table.rows
        if all(row[place] == value for place, value in whole) and all(year_of(row[place]) == v for place, v in years)
    ]  # fmt: skip


def year_of(day: Value) -> str | None:
    """The year of a day as ISO writes it; None of no day."""
    return str(day)[:4] if day else None


def measured(proof: Proof, table: TableData, rows: Iterable[Row] | None = None) -> str:
    """The number that the rows give, as ``Figure.value`` writes it.

    >>> table = TableData("material", (Column("name"), Column("count", ColumnType.NUMBER)), [("a", 2), ("b", 3)])
    >>> measured(Proof("material"), table), measured(Proof("material", {}, "sum:count"), table)
    ('2', '5')
    """
    behind = rows_behind(proof, table) if rows is None else list(rows)
    if proof.measure == ROWS:
        return str(len(behind))
    name, _, column = proof.measure.partition(":")
    place = table.place(column)
    values = [row[place] for row in behind if row[place] not in (None, "")]
    return str(len(set(values))) if f"{name}:" == DISTINCT else plain_number(sum(map(_decimal, values), Decimal(0)))


def _decimal(value: Value) -> Decimal:
    return Decimal(str(value))


def plain_number(value: Decimal) -> str:
    """A number without zeros at its end: "1200", "12.5"."""
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def figure(key: str, table: TableData, *, where: Mapping[str, Value] | None = None, measure: str = ROWS,
           unit: str = "") -> Figure:  # fmt: skip
    """A figure with its number worked out from the rows of a table."""
    proof = Proof(table.key, dict(where or {}), measure)
    return Figure(key, measured(proof, table), proof, unit)
