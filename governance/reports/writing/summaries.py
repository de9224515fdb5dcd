"""Summaries of a table: its rows in groups, with numbers that the same rows prove. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from governance.reports.contents import DISTINCT, ROWS, SUM, YEAR, Proof, Row, TableData, Value, plain_number

_NOTHING: Final[Mapping[str, Value]] = {}


@dataclass(frozen=True)
class Number:
    """A number and its proof; None where no rows of one condition prove it."""

    value: str
    proof: Proof | None


@dataclass(frozen=True)
class Group:
    """Rows that have the same values in the columns of the summary."""

    values: tuple[Value, ...]
    numbers: tuple[Number, ...]


@dataclass(frozen=True)
class Summary:
    """Groups of the rows of a table. measures: of the numbers, as ``Proof.measure``. left: how many groups are not
    shown, rest: their numbers together. total: of all rows."""

    table: str
    columns: tuple[str, ...]
    measures: tuple[str, ...]
    groups: tuple[Group, ...]
    total: tuple[Number, ...]
    left: int = 0
    rest: tuple[Number, ...] = ()


def by_columns(
    table: TableData, columns: Sequence[str], *, measures: Sequence[str] = (ROWS,),
    where: Mapping[str, Value] = _NOTHING, most: int = 40,
) -> Summary:  # fmt: skip
    """Rows that meet ``where`` by the values of columns, the largest groups first.

    Args:
        columns: keys; one of ``YEAR`` + key groups by the year of a day.
        most: how many groups are told one by one; of the others the sum is.

    Raises:
        KeyError: the table lacks one of the columns.
    """
    rows = [row for row in table.rows if _meets(row, [(table.place(key), value) for key, value in where.items()])] \
        if where else table.rows  # fmt: skip
    readers = [_reader(table, key) for key in columns]
    grouped: dict[tuple[Value, ...], list[Row]] = {}
    for row in rows:
        grouped.setdefault(tuple(_read(row, place, is_year) for place, is_year in readers), []).append(row)
    ranked = sorted(grouped.items(), key=lambda one: (-len(one[1]), tuple(map(_order, one[0]))))
    groups = [
        Group(values, tuple(Number(_measured(table, measure, of), Proof(
            table.key, {**where, **dict(zip(columns, values, strict=True))}, measure)) for measure in measures))
        for values, of in ranked[:most]
    ]  # fmt: skip
    others = [row for _values, of in ranked[most:] for row in of]
    return Summary(
        table.key, tuple(columns), tuple(measures), tuple(groups),
        tuple(Number(_measured(table, measure, rows), Proof(table.key, dict(where), measure)) for measure in measures),
        max(0, len(ranked) - most), tuple(Number(_measured(table, measure, others), None) for measure in measures),
    )  # fmt: skip


def by_year(table: TableData, first: str, last: str, *, where: Mapping[str, Value] = _NOTHING,
            measures: Sequence[str] = (ROWS,)) -> Summary:  # fmt: skip
    """By the years of the first and the last day on which something may have been; years ascending, unknown last."""
    found = by_columns(table, (YEAR + first, YEAR + last), measures=measures, where=where, most=10_000)
    ordered = sorted(found.groups, key=lambda group: tuple(map(_order, group.values)))
    return Summary(found.table, found.columns, found.measures, tuple(ordered), found.total)


def single_years(summary: Summary, most: int) -> list[tuple[str, int, Proof | None]]:
    """What happened within one year, for a chart: every year from the first to the last, those of nothing too.

    Only the newest ``most`` years; [] where there are fewer than two.
    """
    told = {str(g.values[0]): g.numbers[0] for g in summary.groups if g.values[0] and g.values[0] == g.values[1]}
    if len(told) < 2:
        return []
    years = range(int(min(told)), int(max(told)) + 1)[-most:]
    nothing = Number("0", None)
    return [(str(year), int(told.get(str(year), nothing).value), told.get(str(year), nothing).proof) for year in years]


def _meets(row: Row, wanted: Sequence[tuple[int, Value]]) -> bool:
    return all(row[place] == value for place, value in wanted)


def _reader(table: TableData, key: str) -> tuple[int, bool]:
    return table.place(key.removeprefix(YEAR)), key.startswith(YEAR)


def _read(row: Row, place: int, is_year: bool) -> Value:
    value = row[place]
    return (str(value)[:4] if value else None) if is_year else value


def _order(value: Value) -> tuple[bool, str]:
    """Blank ones last."""
    return value is None or value == "", str(value)


def _measured(table: TableData, measure: str, rows: Sequence[Row]) -> str:
    if measure == ROWS:
        return str(len(rows))
    name, _, column = measure.partition(":")
    place = table.place(column)
    values = [row[place] for row in rows if row[place] not in (None, "")]
    if f"{name}:" == DISTINCT:
        return str(len(set(values)))
    return plain_number(sum((Decimal(value) * times for value, times in _decimals(values)), Decimal(0)))


def _decimals(values: Sequence[Value]) -> list[tuple[str, int]]:
    """Different values with how often they stand: 200,000 rows hold few."""
    return [(str(value), times) for value, times in Counter(values).items()]


__all__ = ["SUM", "Group", "Number", "Summary", "by_columns", "by_year", "single_years"]
