"""Pages of the list of specimens: quick at a million rows, whatever is asked for.

A filter is one scan of the narrow table ``Standing``. What matches is counted to ``COUNTED_TO`` and no further: up to
there the list is exact and any of its pages can be asked for; beyond, pages follow one another from the row where the
last one ended. Specimens without a verdict stand before all others, so that none is passed over.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Count, QuerySet

from accessions.material.models import Specimen
from governance.engine.tables import Verdict
from governance.verdicts.models import Standing
from governance.verdicts.queries.filters import OPEN_VERDICTS, Filters, standings
from governance.verdicts.queries.kept_counts import kept_count
from governance.verdicts.queries.list_order import columns_of, in_order, keys_beyond, order_of
from governance.verdicts.queries.unchecked import unchecked_keys

COUNTED_TO = 10_000

NUMBERED_TO = 1_000_000
"""Rows of the whole list up to which any page has a number: the index is walked, which is quick."""

_DENSE = 0.1
"""Share of rows from which on walking the index in its order finds a page sooner than a scan of all rows."""


@dataclass(frozen=True)
class Place:
    """Which page: by its number, or after (before) a row; before=0: the last page."""

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
    numbered_to: int = COUNTED_TO

    @property
    def first_row(self) -> int:
        return ((self.number or 1) - 1) * self.size + 1

    @property
    def last_row(self) -> int:
        return self.first_row + len(self.keys) - 1

    @property
    def last_number(self) -> int:
        return max(1, -(-min(self.total, self.numbered_to) // self.size))


def worst_tallies() -> dict[int, int]:
    """How many specimens stand at each verdict. Two queries."""
    counted = kept_count("worst", _counted_by_worst)
    return {int(verdict): 0 for verdict in Verdict} | counted


def _counted_by_worst() -> dict[int, int]:
    return dict(Standing.objects.values_list("worst").annotate(n=Count("pk")).order_by("worst"))


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
        return _page_of_all(sort, size, place, tallies, unchecked, waiting)
    return _page_of_some(filters, sort, size, place, unchecked)


def _page_of_all(
    sort: str, size: int, place: Place, tallies: dict[int, int], unchecked: list[int], waiting: int
) -> ListPage:
    everything, found = waiting + sum(tallies.values()), Standing.objects.all()
    if not place.is_numbered:
        return _page_by_row(found, sort, size, place, everything, True, waiting, tallies)
    number = _within(place.number, size, min(everything, NUMBERED_TO))
    keys = _slice(found.order_by(*order_of(sort)), size, number, unchecked)
    more = number * size < everything
    return ListPage(keys, everything, True, number, size, number > 1, more, waiting, tallies, NUMBERED_TO)


def _page_of_some(filters: Filters, sort: str, size: int, place: Place, unchecked: list[int]) -> ListPage:
    rows = list(standings(filters).order_by().values_list(*columns_of(sort), "worst")[: COUNTED_TO + 1])
    total = len(rows) + len(unchecked)
    tallies = Counter(row[-1] for row in rows)
    if total <= COUNTED_TO:
        number = _within(place.number, size, total)
        keys = [*unchecked, *(row[-2] for row in in_order(rows, sort))]
        shown = keys[(number - 1) * size : number * size]
        return ListPage(shown, total, True, number, size, number > 1, number * size < total, len(unchecked), tallies)
    found = standings(filters, sort=sort)
    if not place.is_numbered:
        return _page_by_row(found, sort, size, place, COUNTED_TO, False, len(unchecked), None)
    number = _within(place.number, size, COUNTED_TO)
    is_dense = len(rows) >= _DENSE * max(row[-2] for row in rows)
    keys = _slice(found.order_by(*order_of(sort, by_scan=not is_dense)), size, number, unchecked)
    return ListPage(keys, COUNTED_TO, False, number, size, number > 1, True, len(unchecked), None, COUNTED_TO)


def _within(number: int, size: int, total: int) -> int:
    """The nearest page that there is."""
    return min(max(1, number), max(1, -(-total // size)))


def _slice(ordered: QuerySet[Standing], size: int, number: int, unchecked: list[int]) -> list[int]:
    """The keys of a numbered page: those without a verdict first."""
    start = (number - 1) * size
    head = unchecked[start : start + size]
    if len(head) == size:
        return head
    offset = max(0, start - len(unchecked))
    return [*head, *ordered.values_list("pk", flat=True)[offset : offset + size - len(head)]]


def ordered_keys(filters: Filters, sort: str) -> list[int]:
    """The keys of all that match, in order, those without a verdict first: for files and work on all of a list."""
    everything_judged = Standing.objects.count() == specimen_count()
    unchecked = [] if filters.asks_for_verdicts or everything_judged else unchecked_keys(filters, None)
    return [*unchecked, *standings(filters, sort=sort).order_by(*order_of(sort)).values_list("pk", flat=True)]


def _page_by_row(
    found: QuerySet[Standing], sort: str, size: int, place: Place, total: int, is_exact: bool, unchecked: int,
    tallies: Mapping[int, int] | None,
) -> ListPage:  # fmt: skip
    """The page after (before) a row. If the row is gone meanwhile: the first (last) page."""
    backwards = place.before is not None
    key = (place.before if backwards else place.after) or 0
    keys = keys_beyond(found, sort, key, size + 1, backwards=backwards)
    at_edge = keys is None
    if keys is None:
        keys = list(found.order_by(*order_of(sort, backwards=backwards)).values_list("pk", flat=True)[: size + 1])
    has_more = len(keys) > size
    shown = keys[:size][::-1] if backwards else keys[:size]
    return ListPage(
        shown, total, is_exact, None, size, has_previous=has_more if backwards else not at_edge,
        has_next=not at_edge if backwards else has_more, unchecked=unchecked, tallies=tallies,
    )  # fmt: skip


def neighbours(filters: Filters, sort: str, key: int) -> tuple[int | None, int | None]:
    """The specimens before and after one in the order of the list, for its page. Seldom more than four queries."""
    found = standings(filters, sort=sort)
    before = keys_beyond(found, sort, key, 1, backwards=True)
    after = keys_beyond(found, sort, key, 1)
    return before[0] if before else None, after[0] if after else None
