"""Pages of the list of specimens: quick at a million rows, whatever is asked for.

A filter is one scan of the narrow table ``Standing``. What matches is counted to ``COUNTED_TO`` and no further: up to
there the list is exact and any of its pages can be asked for; beyond, pages follow one another from the row where the
last one ended. Specimens without a verdict stand before all others, so that none is passed over.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Count, F, Q, QuerySet

from accessions.material.models import Specimen
from governance.engine.tables import Verdict
from governance.verdicts.models import Standing
from governance.verdicts.queries.filters import OPEN_VERDICTS, Filters, standings
from governance.verdicts.queries.unchecked import unchecked_keys

COUNTED_TO = 10_000

SORTS: Mapping[str, tuple[str, ...]] = {
    "worst": ("-worst", "catalog_number", "pk"),
    "-worst": ("worst", "catalog_number", "pk"),
    "specimen": ("catalog_number", "pk"),
    "-specimen": ("-catalog_number", "-pk"),
    "collected": ("first_on", "catalog_number", "pk"),
    "-collected": ("-first_on", "catalog_number", "pk"),
    "accession": ("accession_number", "catalog_number", "pk"),
    "-accession": ("-accession_number", "catalog_number", "pk"),
}
"""Orders of the list. Where no day is known, the row stands last in either order."""

DEFAULT_SORT = "worst"


@dataclass(frozen=True)
class Place:
    """Which page: by its number, or after (before) a row; before=0 is the last page."""

    number: int = 1
    after: int | None = None
    before: int | None = None

    @property
    def is_numbered(self) -> bool:
        return self.after is None and self.before is None


@dataclass(frozen=True)
class ListPage:
    """One page of keys. total: how many match; is_exact: False if it is only known that there are more.

    tallies: by worst verdict, None where that was not counted. number: None on a page that follows a row.
    """

    keys: list[int]
    total: int
    is_exact: bool
    number: int | None
    size: int
    has_previous: bool
    has_next: bool
    unchecked: int = 0
    tallies: Mapping[int, int] | None = None
    by_row: bool = field(default=False)

    @property
    def first_row(self) -> int:
        return ((self.number or 1) - 1) * self.size + 1

    @property
    def last_row(self) -> int:
        return self.first_row + len(self.keys) - 1

    @property
    def last_number(self) -> int:
        return max(1, -(-min(self.total, COUNTED_TO) // self.size))


def worst_tallies() -> dict[int, int]:
    """How many specimens stand at each verdict. One query."""
    counted = Standing.objects.values_list("worst").annotate(n=Count("pk")).order_by("worst")
    return {int(verdict): 0 for verdict in Verdict} | {worst: n for worst, n in counted}


def specimen_count() -> int:
    """All specimens, judged or not. One query."""
    return Specimen.objects.count()


def open_count(tallies: Mapping[int, int]) -> int:
    return sum(tallies.get(verdict, 0) for verdict in OPEN_VERDICTS)


def list_page(filters: Filters, sort: str, size: int, place: Place) -> ListPage:
    """A page of the list."""
    tallies = worst_tallies()
    everything = specimen_count()
    waiting = everything - sum(tallies.values())
    unchecked = unchecked_keys(filters, COUNTED_TO + 1) if waiting and not filters.asks_for_verdicts else []
    if filters.is_empty:
        return _page_of_all(sort, size, place, tallies, everything, unchecked)
    return _page_of_some(standings(filters), sort, size, place, unchecked)


def _page_of_all(
    sort: str, size: int, place: Place, tallies: dict[int, int], everything: int, unchecked: list[int]
) -> ListPage:
    if not place.is_numbered:
        return _page_by_row(Standing.objects.all(), sort, size, place, everything, True, len(unchecked), tallies)
    number = _within(place.number, size, everything)
    keys = _slice(Standing.objects.all(), sort, size, number, unchecked)
    more = number * size < everything
    return ListPage(keys, everything, True, number, size, number > 1, more, len(unchecked), tallies)


def _page_of_some(
    found: QuerySet[Standing], sort: str, size: int, place: Place, unchecked: list[int]
) -> ListPage:
    columns = [column.lstrip("-") for column in SORTS[sort]]
    rows = list(found.order_by().values_list("worst", *columns)[: COUNTED_TO + 1])
    total = len(rows) + len(unchecked)
    tallies = Counter(row[0] for row in rows)
    if total <= COUNTED_TO:
        number = _within(place.number, size, total)
        keys = [*unchecked, *(row[-1] for row in _sorted(rows, sort))]
        shown = keys[(number - 1) * size : number * size]
        return ListPage(shown, total, True, number, size, number > 1, number * size < total, len(unchecked), tallies)
    if not place.is_numbered:
        return _page_by_row(found, sort, size, place, COUNTED_TO, False, len(unchecked), None)
    number = _within(place.number, size, COUNTED_TO)
    keys = _slice(found, sort, size, number, unchecked)
    return ListPage(keys, COUNTED_TO, False, number, size, number > 1, True, len(unchecked))


def _within(number: int, size: int, total: int) -> int:
    """The nearest page that can be asked for by its number."""
    last = max(1, -(-min(total, COUNTED_TO) // size))
    return min(max(1, number), last)


def _slice(found: QuerySet[Standing], sort: str, size: int, number: int, unchecked: list[int]) -> list[int]:
    """The keys of a numbered page: those without a verdict first."""
    start = (number - 1) * size
    head = unchecked[start : start + size]
    if len(head) == size:
        return head
    offset = max(0, start - len(unchecked))
    ordered = found.order_by(*_order(sort)).values_list("pk", flat=True)
    return [*head, *ordered[offset : offset + size - len(head)]]


def _order(sort: str, *, backwards: bool = False) -> list[Any]:
    """Undated rows last; on the way back first."""
    order: list[Any] = []
    for column in SORTS[sort]:
        descending = column.startswith("-") != backwards
        name = F(column.lstrip("-"))
        nulls = {"nulls_first" if backwards else "nulls_last": True} if column.endswith("first_on") else {}
        order.append(name.desc(**nulls) if descending else name.asc(**nulls))
    return order


def ordered_keys(filters: Filters, sort: str) -> list[int]:
    """The keys of all that match, in order; those without a verdict first. For files and for work on all of a filter."""
    everything_judged = Standing.objects.count() == specimen_count()
    unchecked = [] if filters.asks_for_verdicts or everything_judged else unchecked_keys(filters, None)
    return [*unchecked, *standings(filters).order_by(*_order(sort)).values_list("pk", flat=True)]


def _sorted(rows: list[tuple[Any, ...]], sort: str) -> list[tuple[Any, ...]]:
    """Rows (worst, then the columns of the sort) in order: the last column first, since sorting is stable."""
    for place, column in reversed(list(enumerate(SORTS[sort], start=1))):
        known = [row for row in rows if row[place] is not None]
        undated = [row for row in rows if row[place] is None]
        known.sort(key=lambda row, place=place: row[place], reverse=column.startswith("-"))  # type: ignore[misc]
        rows = known + undated
    return rows


def _page_by_row(
    found: QuerySet[Standing], sort: str, size: int, place: Place, total: int, is_exact: bool, unchecked: int,
    tallies: Mapping[int, int] | None,
) -> ListPage:  # fmt: skip
    backwards = place.before is not None
    beyond = _beyond(sort, place.before if backwards else place.after, backwards=backwards)
    rows = list(
        found.filter(beyond).order_by(*_order(sort, backwards=backwards)).values_list("pk", flat=True)[: size + 1]
    )
    keys = rows[:size][::-1] if backwards else rows[:size]
    has_more = len(rows) > size
    at_end = backwards and not place.before
    return ListPage(
        keys, total, is_exact, None, size, has_previous=has_more or not backwards,
        has_next=not at_end if backwards else has_more, unchecked=unchecked, tallies=tallies, by_row=True,
    )  # fmt: skip


def _beyond(sort: str, key: int | None, *, backwards: bool) -> Q:
    """The rows that follow (precede) a row in the order; all if there is no such row."""
    columns = [column.lstrip("-") for column in SORTS[sort]]
    row = Standing.objects.filter(pk=key or 0).values_list(*columns).first()
    if row is None:
        return Q()
    condition, same = Q(), Q()
    for column, value in zip(SORTS[sort], row, strict=True):
        descending = column.startswith("-") != backwards
        condition |= same & _past(column.lstrip("-"), value, descending=descending, backwards=backwards)
        same &= Q(**{f"{column.lstrip('-')}__isnull": True}) if value is None else Q(**{column.lstrip("-"): value})
    return condition


def _past(name: str, value: Any, *, descending: bool, backwards: bool) -> Q:
    """Beyond a value in one column, where rows without a value stand last."""
    if value is None:
        return Q(**{f"{name}__isnull": False}) if backwards else Q(pk__in=[])
    past = Q(**{f"{name}__{'lt' if descending else 'gt'}": value})
    return past | Q(**{f"{name}__isnull": True}) if name == "first_on" and not backwards else past


def neighbours(filters: Filters, sort: str, key: int) -> tuple[int | None, int | None]:
    """The specimens before and after one in the order of the list, for its page. Three queries at most."""
    found = standings(filters)
    before = found.filter(_beyond(sort, key, backwards=True)).order_by(*_order(sort, backwards=True))
    after = found.filter(_beyond(sort, key, backwards=False)).order_by(*_order(sort))
    return before.values_list("pk", flat=True).first(), after.values_list("pk", flat=True).first()
