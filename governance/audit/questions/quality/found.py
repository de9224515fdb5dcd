"""What a rule of data quality found: few rows that are listed, or a query that may find a million."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final, Protocol

from django.db.models import QuerySet

Fact = tuple[Any, ...]
"""A row that was found: its key first, a number or a text."""

_AT_ONCE: Final = 2_000


class Found(Protocol):
    """Rows in their order. Their keys come first in each and are unique."""

    def __len__(self) -> int: ...

    def between(self, first: int, last: int) -> Sequence[Fact]:
        """The rows from ``first`` up to, not including, ``last``."""

    def only(self, keys: Collection[str]) -> Sequence[Fact]:
        """The rows with these keys, as text."""

    def without(self, keys: Collection[str]) -> Found:
        """All but the rows with these keys, as text."""

    def __iter__(self) -> Iterator[Sequence[Fact]]:
        """Slices of the rows."""


@dataclass(frozen=True)
class FoundList:
    """Rows that were read already."""

    facts: Sequence[Fact]

    def __len__(self) -> int:
        return len(self.facts)

    def between(self, first: int, last: int) -> Sequence[Fact]:
        return self.facts[first:last]

    def only(self, keys: Collection[str]) -> Sequence[Fact]:
        wanted = set(keys)
        return [fact for fact in self.facts if str(fact[0]) in wanted]

    def without(self, keys: Collection[str]) -> Found:
        left_out = set(keys)
        return FoundList([fact for fact in self.facts if str(fact[0]) not in left_out]) if left_out else self

    def __iter__(self) -> Iterator[Sequence[Fact]]:
        for first in range(0, len(self), _AT_ONCE):
            yield self.facts[first : first + _AT_ONCE]


@dataclass(frozen=True)
class FoundQuery:
    """Rows of a query of records, known by their primary keys. columns: those of each row after its key."""

    query: QuerySet[Any]
    columns: tuple[str, ...] = ()

    def __len__(self) -> int:
        return self.query.count()

    def _facts(self, query: QuerySet[Any]) -> Any:
        return query.values_list("pk", *self.columns)

    def between(self, first: int, last: int) -> Sequence[Fact]:
        return list(self._facts(self.query)[first:last])

    def only(self, keys: Collection[str]) -> Sequence[Fact]:
        numbers = [int(key) for key in keys if key.isascii() and key.isdigit() and len(key) < 19]
        return list(self._facts(self.query.filter(pk__in=numbers))) if numbers else []

    def without(self, keys: Collection[str]) -> Found:
        numbers = [int(key) for key in keys]
        return FoundQuery(self.query.exclude(pk__in=numbers), self.columns) if numbers else self

    def __iter__(self) -> Iterator[Sequence[Fact]]:
        some: list[Fact] = []
        for fact in self._facts(self.query).iterator(chunk_size=_AT_ONCE):
            some.append(fact)
            if len(some) == _AT_ONCE:
                yield some
                some = []
        yield some
