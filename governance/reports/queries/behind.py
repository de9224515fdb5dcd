"""The rows behind a figure, a page at a time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from django.http import QueryDict
from django.utils.translation import gettext as _

from governance.reports.contents import (
    DISTINCT,
    ROWS,
    SUM,
    YEAR,
    Column,
    ColumnType,
    Proof,
    Row,
    TableData,
    Value,
    measured,
    year_of,
)
from governance.reports.queries.one_report import MEASURE, WITHOUT

OWN_NAMES: Final = frozenset({"page", "size", "sort", MEASURE, WITHOUT})
"""Parameters of the page that are no columns; a test holds that no column is called so."""


class NoSuchRowsError(ValueError):
    """An address asks for rows in a way that the table does not have. Its text is for people."""


@dataclass(frozen=True)
class Asked:
    """What an address asks of a table. sort: a column, with "-" before it the other way round; "": as stored."""

    proof: Proof
    sort: str = ""

    @property
    def is_whole(self) -> bool:
        """Whether every row is asked for, as stored: then one page unpacks one piece."""
        return not self.proof.where and not self.sort


def asked(table: TableData, query: QueryDict) -> Asked:
    """What an address asks for, checked against the columns of the table.

    Raises:
        NoSuchRowsError: with all that is wrong, and which columns there are.
    """
    columns = {one.key: one for one in table.columns}
    problems, where = list[str](), dict[str, Value]()
    for key in query:
        if _is_known(key, columns):
            where[key] = _value(columns[key.removeprefix(YEAR)], str(query[key]), problems)
        elif key not in OWN_NAMES:
            problems.append(_("This table has no column “%(key)s”.") % {"key": key[:60]})
    for key in query.getlist(WITHOUT):
        where[key] = None
        if not _is_known(key, columns):
            problems.append(_("This table has no column “%(key)s”.") % {"key": key[:60]})
    measure, sort = query.get(MEASURE, ROWS), query.get("sort", "")
    if not _is_measure(measure, columns):
        problems.append(_("“%(measure)s” is no measure of this table.") % {"measure": measure[:60]})
    if sort.removeprefix("-") not in {"", *columns}:
        problems.append(_("It cannot be ordered by “%(key)s”.") % {"key": sort[:60]})
    if problems:
        there = _("Its columns are: %(list)s.") % {"list": ", ".join(columns)}
        raise NoSuchRowsError(" ".join([*problems, there]))
    return Asked(Proof(table.key, where, measure), sort)


def _is_known(key: str, columns: Mapping[str, Column]) -> bool:
    """Whether it names a column, or the year of a column of days."""
    column = columns.get(key.removeprefix(YEAR))
    return column is not None and (key in columns or column.type == ColumnType.DAY)


def _value(column: Column, text: str, problems: list[str]) -> Value:
    if column.type != ColumnType.NUMBER:
        return text
    try:
        return int(text)
    except ValueError:
        problems.append(_("“%(text)s” is no whole number (column %(key)s).") % {"text": text[:60], "key": column.key})
        return None


def _is_measure(measure: str, columns: Mapping[str, Column]) -> bool:
    name, colon, column = measure.partition(":")
    return measure == ROWS or (f"{name}{colon}" in (SUM, DISTINCT) and column in columns)


class RowsBehind(Sequence[Row]):
    """The rows that an address asks for. One pass over the table finds which they are; a page reads only its own."""

    def __init__(self, table: TableData, wanted: Asked) -> None:
        self._table, self._places = table, None if wanted.is_whole else _places(table, wanted)

    def __len__(self) -> int:
        return len(self._table.rows) if self._places is None else len(self._places)

    def __getitem__(self, place: Any) -> Any:
        if isinstance(place, slice):
            return [self[number] for number in range(len(self))[place]]
        return self._table.rows[place if self._places is None else self._places[place]]

    def __iter__(self) -> Iterator[Row]:
        if self._places is None:
            return iter(self._table.rows)
        return map(self._table.rows.__getitem__, self._places)


def _places(table: TableData, wanted: Asked) -> list[int]:
    tests = [
        (table.place(key.removeprefix(YEAR)), key.startswith(YEAR), value) for key, value in wanted.proof.where.items()
    ]
    found = (
        (number, row) for number, row in enumerate(table.rows)
        if all((year_of(row[place]) if is_year else row[place]) == value for place, is_year, value in tests)
    )  # fmt: skip
    if not wanted.sort:
        return [number for number, _row in found]
    column = next(one for one in table.columns if one.key == wanted.sort.removeprefix("-"))
    place = table.place(column.key)
    keyed = [(row[place], number) for number, row in found]
    told = [one for one in keyed if one[0] not in (None, "")]
    told.sort(key=lambda one: _order(column, one[0]), reverse=wanted.sort.startswith("-"))
    return [number for _value, number in [*told, *(one for one in keyed if one[0] in (None, ""))]]


def _order(column: Column, value: Value) -> Any:
    if column.type == ColumnType.NUMBER:
        return value
    if column.type == ColumnType.DECIMAL:
        try:
            return Decimal(str(value))
        except InvalidOperation:
            return Decimal(0)
    return str(value).casefold()


def number_of(table: TableData, wanted: Asked, rows: RowsBehind) -> str:
    """The number that the shown rows give, by the measure that is asked for."""
    if wanted.proof.measure == ROWS:
        return str(len(rows))
    return measured(replace(wanted.proof, where={}), table, rows)
