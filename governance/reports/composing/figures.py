"""The numbers that a report says, each a measure over the rows of a table, by their keys.

``FIGURES`` lists every key, so that the files of words can be held against it. Numbers of one code (a verdict, a deed,
a state) have a key that ends in the code and are told where they are not nothing; sums of money and of what is counted
are told for each currency and unit alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

from governance.reports.composing.codes import CODES, IN, MAYBE, NO, NOT_KNOWN, YES
from governance.reports.contents import Figure, TableData, Value, figure
from governance.usedesk.deeds import Deed


@dataclass(frozen=True)
class Told:
    """A number that is always told where its table is."""

    key: str
    table: str
    measure: str = "rows"
    where: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True)
class ByCode:
    """A number for each code of a column: its key is the stem, "_" and the code."""

    stem: str
    table: str
    column: str
    group: str
    measure: str = "rows"

    @property
    def keys(self) -> Iterator[tuple[str, str]]:
        return ((f"{self.stem}_{code}", code) for code in CODES[self.group])


@dataclass(frozen=True)
class ByUnit:
    """A sum for each currency and unit."""

    key: str
    table: str
    column: str


_OUTSIDE: Final = {"outside": YES}
_LOAN: Final = {"deed": str(Deed.LOAN)}
_IN: Final = {"in_period": IN}

ALWAYS: Final = (
    Told("papers", "papers"),
    Told("specimens", "material"),
    Told("individuals", "material", "sum:individuals"),
    Told("taxa", "material", "distinct:taxon"),
    Told("accessions", "material", "distinct:accession"),
    Told("sites", "material", "distinct:site"),
    Told("taken_in_period", "material", where=_IN),
    Told("individuals_in_period", "material", "sum:individuals", _IN),
    Told("taxa_in_period", "material", "distinct:taxon", _IN),
    Told("taken_maybe", "material", where={"in_period": MAYBE}),
    Told("taken_not_known", "material", where={"in_period": NOT_KNOWN}),
    Told("exceptions", "exceptions"),
    Told("exception_specimens", "exceptions", "distinct:specimen"),
    Told("remedies", "remedies"),
    Told("remedies_open", "remedies", where={"done_on": None}),
    Told("movements", "movements"),
    Told("movements_outside", "movements", where=_OUTSIDE),
    Told("lent", "movements", "sum:specimens", _LOAN),
    Told("lent_back", "movements", "sum:back", _LOAN),
    Told("lent_out", "movements", "sum:out", _LOAN),
    Told("uses", "uses"),
    Told("uses_outside", "uses", where=_OUTSIDE),
    Told("used_specimens", "used", "distinct:specimen"),
    Told("used_up", "used", "distinct:specimen", {"used_up": YES}),
    Told("sequences", "sequences", "distinct:sequence"),
    Told("sequenced_specimens", "sequences", "distinct:specimen"),
    Told("publications", "publications"),
    Told("publications_not_acknowledged", "publications", where={"acknowledged": NO}),
    Told("deposits", "deposits"),
    Told("deposited_specimens", "deposits", "sum:specimens"),
    Told("deposits_without_receipt", "deposits", where={"receipt": None}),
    Told("promises", "promises"),
    Told("benefits_given", "given"),
    Told("losses", "losses"),
    Told("duties", "duties"),
)

BY_CODE: Final = (
    ByCode("papers", "papers", "state", "paper_states"),
    ByCode("verdict", "material", "verdict", "verdicts"),
    ByCode("now", "material", "now", "whereabouts"),
    ByCode("exceptions", "exceptions", "verdict", "verdicts"),
    ByCode("moved", "movements", "deed", "deeds", "sum:specimens"),
    ByCode("use", "uses", "deed", "deeds"),
    ByCode("used", "used", "deed", "deeds", "distinct:specimen"),
    ByCode("lost", "losses", "deed", "deeds"),
    ByCode("promises", "promises", "state", "promise_states"),
    ByCode("given", "given", "code", "benefits"),
    ByCode("duties", "duties", "state", "duty_states"),
    ByCode("unknown", "unknown", "question", "unknowns"),
)

BY_UNIT: Final = (
    ByUnit("promised_amount", "promises", "promised"),
    ByUnit("promised_given", "promises", "given"),
    ByUnit("promised_open", "promises", "open"),
    ByUnit("given_amount", "given", "amount"),
)

FIGURES: Final = (
    *(one.key for one in ALWAYS), *(key for one in BY_CODE for key, _ in one.keys), *(one.key for one in BY_UNIT),
)  # fmt: skip
"""Every key that ``figures_of`` may give."""

_SHARE: Final = "%"
"""Unit of promises of a share: shares of different material are no sum."""


def figures_of(tables: Mapping[str, TableData]) -> list[Figure]:
    """The numbers that these tables prove, in the order of the tables."""
    found = [figure(one.key, tables[one.table], where=one.where, measure=one.measure)
             for one in ALWAYS if one.table in tables]  # fmt: skip
    for one in BY_CODE:
        if one.table in tables:
            found += _by_code(one, tables[one.table])
    for by_unit in BY_UNIT:
        if by_unit.table in tables:
            found += _by_unit(by_unit, tables[by_unit.table])
    return found


def _by_code(one: ByCode, table: TableData) -> Iterator[Figure]:
    place = table.place(one.column)
    present = {row[place] for row in table.rows}
    for key, code in one.keys:
        if code in present:
            yield figure(key, table, where={one.column: code}, measure=one.measure)


def _by_unit(one: ByUnit, table: TableData) -> Iterator[Figure]:
    unit, value = table.place("unit"), table.place(one.column)
    units = {str(row[unit]) for row in table.rows if row[unit] and row[value] is not None}
    for name in sorted(units - {_SHARE}):
        yield figure(one.key, table, where={"unit": name}, measure=f"sum:{one.column}", unit=name)
