"""The orders of the list of specimens, and the rows that follow or precede a row in them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from django.db import connection
from django.db.models import F, Func, Q, QuerySet
from django.db.models.expressions import OrderBy

from governance.verdicts.models import Standing

SORTS: Mapping[str, tuple[str, ...]] = {
    "worst": ("-worst", "catalog_number", "pk"),
    "-worst": ("worst", "-catalog_number", "-pk"),
    "specimen": ("catalog_number", "pk"),
    "-specimen": ("-catalog_number", "-pk"),
    "collected": ("first_on", "catalog_number", "pk"),
    "-collected": ("-first_on", "-catalog_number", "-pk"),
    "accession": ("accession_number", "catalog_number", "pk"),
    "-accession": ("-accession_number", "-catalog_number", "-pk"),
}
"""Orders of the list, each with an index. Where no day is known, the row stands as if it were the earliest."""

DEFAULT_SORT = "worst"

Row = tuple[Any, ...]


def columns_of(sort: str) -> list[str]:
    """The columns of an order; the last is the primary key."""
    return [column.lstrip("-") for column in SORTS[sort]]


def order_of(sort: str, *, backwards: bool = False, by_scan: bool = False) -> list[Any]:
    """For ``order_by``. by_scan: keep SQLite from walking the index, which is slow where few rows of it match."""
    order: list[Any] = []
    for column in SORTS[sort]:
        descending = column.startswith("-") != backwards
        name: Any = F(column.lstrip("-"))
        if by_scan and connection.vendor == "sqlite":
            name = Func(name, template="+%(expressions)s")
        nulls = {"nulls_last" if descending else "nulls_first": True} if column.endswith("first_on") else {}
        order.append(OrderBy(name, descending=descending, **nulls))
    return order


def in_order(rows: list[Row], sort: str) -> list[Row]:
    """Rows of ``columns_of`` in order: by the last column first, since sorting is stable."""
    for place, column in reversed(list(enumerate(SORTS[sort]))):

        def key(row: Row, place: int = place) -> tuple[bool, Any]:
            return row[place] is not None, row[place]

        rows = sorted(rows, key=key, reverse=column.startswith("-"))
    return rows


def keys_beyond(
    found: QuerySet[Standing], sort: str, key: int, count: int, *, backwards: bool = False
) -> list[int] | None:
    """So many keys of the rows that follow a row (precede it, nearest first); None if there is no such row.

    Piece by piece: first the rows that differ from it in the last column alone. Each piece is a range of the index,
    where one condition over all columns would be none.
    """
    row = Standing.objects.filter(pk=key).values_list(*columns_of(sort)).first()
    if row is None:
        return None
    keys: list[int] = []
    for piece in _pieces(sort, row, backwards=backwards):
        ordered = found.filter(piece).order_by(*order_of(sort, backwards=backwards)).values_list("pk", flat=True)
        keys += ordered[: count - len(keys)]
        if len(keys) == count:
            break
    return keys


def _pieces(sort: str, row: Row, *, backwards: bool) -> Iterator[Q]:
    """Alike in the first columns and beyond in the next: the longest likeness first."""
    columns = list(zip(SORTS[sort], row, strict=True))
    for place in reversed(range(len(columns))):
        column, value = columns[place]
        descending = column.startswith("-") != backwards
        beyond = _beyond(column.lstrip("-"), value, descending=descending)
        if beyond is not None:
            yield _alike(columns[:place]) & beyond


def _alike(columns: list[tuple[str, Any]]) -> Q:
    condition = Q()
    for column, value in columns:
        name = column.lstrip("-")
        condition &= Q(**{f"{name}__isnull": True}) if value is None else Q(**{name: value})
    return condition


def _beyond(name: str, value: Any, *, descending: bool) -> Q | None:
    """Beyond a value in one column, where no value is the least; None where nothing is."""
    if value is None:
        return None if descending else Q(**{f"{name}__isnull": False})
    past = Q(**{f"{name}__{'lt' if descending else 'gt'}": value})
    return past | Q(**{f"{name}__isnull": True}) if name == "first_on" and descending else past
