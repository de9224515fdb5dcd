"""The orders of the list of specimens, and the rows that follow or precede a row in them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from django.db.models import F, Q, QuerySet

from governance.verdicts.models import Standing

SORTS: Mapping[str, tuple[str, ...]] = {
    "worst": ("-worst", "catalog_number", "pk"),
    "-worst": ("worst", "-catalog_number", "-pk"),
    "specimen": ("catalog_number", "pk"),
    "-specimen": ("-catalog_number", "-pk"),
    "collected": ("first_on", "catalog_number", "pk"),
    "-collected": ("-first_on", "catalog_number", "pk"),
    "accession": ("accession_number", "catalog_number", "pk"),
    "-accession": ("-accession_number", "catalog_number", "pk"),
}
"""Orders of the list. Where no day is known, the row stands last in either order."""

DEFAULT_SORT = "worst"

Row = tuple[Any, ...]


def columns_of(sort: str) -> list[str]:
    """The columns of an order; the last is the primary key."""
    return [column.lstrip("-") for column in SORTS[sort]]


def order_of(sort: str, *, backwards: bool = False) -> list[Any]:
    """For ``order_by``. Undated rows last; on the way back first."""
    order: list[Any] = []
    for column in SORTS[sort]:
        descending = column.startswith("-") != backwards
        name = F(column.lstrip("-"))
        nulls: dict[str, bool] = {}
        if column.endswith("first_on"):
            nulls = {"nulls_first" if backwards else "nulls_last": True}
        order.append(name.desc(**nulls) if descending else name.asc(**nulls))
    return order


def in_order(rows: list[Row], sort: str) -> list[Row]:
    """Rows of ``columns_of`` in order: by the last column first, since sorting is stable."""
    for place, column in reversed(list(enumerate(SORTS[sort]))):
        known = [row for row in rows if row[place] is not None]
        undated = [row for row in rows if row[place] is None]
        known.sort(key=lambda row, place=place: row[place], reverse=column.startswith("-"))  # type: ignore[misc]
        rows = known + undated
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
        beyond = _beyond(column.lstrip("-"), value, descending=descending, backwards=backwards)
        if beyond is not None:
            yield _alike(columns[:place]) & beyond


def _alike(columns: list[tuple[str, Any]]) -> Q:
    condition = Q()
    for column, value in columns:
        name = column.lstrip("-")
        condition &= Q(**{f"{name}__isnull": True}) if value is None else Q(**{name: value})
    return condition


def _beyond(name: str, value: Any, *, descending: bool, backwards: bool) -> Q | None:
    """Beyond a value in one column, where rows without a value stand last; None where nothing is."""
    if value is None:
        return Q(**{f"{name}__isnull": False}) if backwards else None
    past = Q(**{f"{name}__{'lt' if descending else 'gt'}": value})
    return past | Q(**{f"{name}__isnull": True}) if name == "first_on" and not backwards else past
