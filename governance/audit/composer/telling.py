"""How a condition on a column is told: which rows match, and of which rows the value is not known.

Three answers, as everywhere in the register: a value that is not known makes neither a yes nor a no. So each condition
gives two sets of rows, written as conditions of the database that are never null: ``yes`` and ``unknown``; and a third,
``hidden``, of rows whose value is not open to the reader.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cached_property, reduce
from operator import or_
from typing import Any

from django.db import models
from django.db.models import F, Q
from django.db.models.lookups import GreaterThan

from governance.audit.composer.conditions import Test
from governance.papers.queries.listing import PaperRow, Wanted, paper_rows


@dataclass(frozen=True)
class Told:
    """What a condition says of the rows. None: of no row."""

    yes: Q | None
    unknown: Q | None = None
    hidden: Q | None = None


@dataclass(frozen=True)
class Ground:
    """On which day and for whom it is asked. What several conditions need is read once."""

    on: date
    reader: Any

    @cached_property
    def papers(self) -> list[PaperRow]:
        """How each paper stands on the day."""
        return paper_rows(Wanted(on=self.on), self.reader)


Teller = Callable[[Test, tuple[Any, ...], Ground], Told]
"""From a test and the values it is held against (several for "is one of", none for "is known") to the rows."""


def either(*parts: Q | None) -> Q | None:
    """Rows of any of the parts."""
    found = [part for part in parts if part is not None]
    return reduce(or_, found) if found else None


def both(first: Q | None, second: Q | None) -> Q | None:
    """Rows of both."""
    return None if first is None or second is None else first & second


def on_value(lacks: Q | None, equals: Callable[[Any], Q], contains: Callable[[Any], Q] | None = None) -> Teller:
    """A value that is compared as a whole, or by words in it. lacks: where it is not known; None: it always is."""

    def told(test: Test, values: tuple[Any, ...], ground: Ground) -> Told:
        there = ~lacks if lacks is not None else Q(pk__isnull=False)
        if test is Test.KNOWN:
            return Told(there)
        if test is Test.NOT_KNOWN:
            return Told(lacks)
        compare = contains if test is Test.CONTAINS and contains else equals
        same = reduce(or_, map(compare, values))
        return Told(there & (~same if test is Test.IS_NOT else same), lacks)

    return told


def text(*paths: str, has_null: bool = False) -> Teller:
    """Words in one of some columns, whatever the case of their letters; not known where all are blank."""

    def any_of(lookup: str) -> Callable[[Any], Q]:
        return lambda value: reduce(or_, (_there(path, has_null) & Q(**{f"{path}__{lookup}": value}) for path in paths))

    lacks = Q()
    for path in paths:
        lacks &= _blank(path, has_null)
    return on_value(lacks, any_of("iexact"), any_of("icontains"))


def _blank(path: str, has_null: bool) -> Q:
    return Q(**{path: ""}) | Q(**{f"{path}__isnull": True}) if has_null else Q(**{path: ""})


def _there(path: str, has_null: bool) -> Q:
    """Keeps the condition from being null, whose opposite would be null too."""
    return Q(**{f"{path}__isnull": False}) if has_null else Q()


def number(path: str) -> Teller:
    """A number that a record is known by: compared letter by letter, which an index serves; it may be blank."""
    return on_value(
        Q(**{path: ""}), lambda value: Q(**{path: value}), lambda value: Q(**{f"{path}__icontains": value})
    )  # fmt: skip


def choice(path: str, *, lacking: Any = None, has_null: bool = False) -> Teller:
    """One of some words. lacking: the word that stands for not known."""
    lacks = either(
        Q(**{path: lacking}) if lacking is not None else None, Q(**{f"{path}__isnull": True}) if has_null else None
    )
    return on_value(lacks, lambda value: _there(path, has_null) & Q(**{path: value}))


def flag(yes: Callable[[], Q], lacks: Callable[[], Q] | None = None) -> Teller:
    """Yes or no: the value is True or False. lacks: where neither is known, made when it is asked."""

    def told(test: Test, values: tuple[Any, ...], ground: Ground) -> Told:
        unknown = lacks() if lacks else None
        return on_value(unknown, lambda value: yes() if value else ~yes())(test, values, ground)

    return told


def among(rows: Callable[[Any, Ground], Q], lacks: Callable[[Ground], Q] | None = None) -> Teller:
    """Rows that a query finds for a value."""

    def told(test: Test, values: tuple[Any, ...], ground: Ground) -> Told:
        unknown = lacks(ground) if lacks else None
        return on_value(unknown, lambda value: rows(value, ground))(test, values, ground)

    return told


def span(first: str, last: str, lacks: Q | None = None) -> Teller:
    """A value that lies somewhere from one column to another, both counted; null: without an end.

    "Before a day" is a yes only if the last possible day is, and a no only if the first is not.
    lacks: where the columns hold something that was assumed, which is not known.
    """

    def told(test: Test, values: tuple[Any, ...], ground: Ground) -> Told:
        whole = Q(**{f"{first}__isnull": False, f"{last}__isnull": False})
        if test is Test.KNOWN:
            return Told(whole if lacks is None else whole & ~lacks)
        if test is Test.NOT_KNOWN:
            return Told(either(~whole, lacks))
        yes, perhaps = _spans(first, last, test, values[0])
        if lacks is None:
            return Told(yes, perhaps)
        return Told(yes & ~lacks, (perhaps & ~lacks) | lacks)

    return told


def _spans(first: str, last: str, test: Test, value: Any) -> tuple[Q, Q]:
    """Where it certainly is so, and where it may be."""

    def at(path: str, lookup: str) -> Q:
        return Q(**{f"{path}__isnull": False, f"{path}__{lookup}": value})

    def may(path: str, lookup: str) -> Q:
        return Q(**{f"{path}__isnull": True}) | Q(**{f"{path}__{lookup}": value})

    if test is Test.BEFORE:
        return at(last, "lt"), may(last, "gte") & may(first, "lt")
    if test is Test.AFTER:
        return at(first, "gt"), may(first, "lte") & may(last, "gt")
    if test is Test.AT_LEAST:
        return at(first, "gte"), may(first, "lt") & may(last, "gte")
    if test is Test.AT_MOST:
        return at(last, "lte"), may(last, "gt") & may(first, "lte")
    wide = may(first, "lt") | may(last, "gt")
    perhaps = wide & may(first, "lte") & may(last, "gte")
    if test is Test.IS_NOT:
        return at(first, "gt") | at(last, "lt"), perhaps
    return at(first, "exact") & at(last, "exact"), perhaps


def point(path: str) -> Teller:
    """A day or number of one column; null: not known."""
    return span(path, path)


def through(column: str, rows: Callable[[], models.QuerySet[Any]], inner: Teller, *, has_null: bool = False) -> Teller:
    """A condition on what a column leads to, as one look into the keys of the rows that it holds for: no join, so that
    a million rows are one scan. has_null: the column may be empty, and then nothing is known."""

    def told(test: Test, values: tuple[Any, ...], ground: Ground) -> Told:
        found = inner(test, values, ground)
        empty = Q(**{f"{column}__isnull": True}) if has_null else None
        yes, unknown = _keys(column, rows, found.yes), _keys(column, rows, found.unknown)
        if test is Test.NOT_KNOWN:
            return Told(either(yes, empty))
        return Told(yes, None if test is Test.KNOWN else either(unknown, empty))

    return told


def _keys(column: str, rows: Callable[[], models.QuerySet[Any]], condition: Q | None) -> Q | None:
    if condition is None:
        return None
    return Q(**{f"{column}__in": rows().filter(condition).order_by().values("pk")})


def bits(path: str, mask: Callable[[Any], int]) -> Teller:
    """Whether one of some bits of a column is set."""

    def held(value: Any) -> Q:
        return Q(GreaterThan(F(path).bitand(mask(value)), 0))  # type: ignore[attr-defined]  # every expression has it

    return on_value(None, held)


def for_readers(inner: Teller, closed: Callable[[Any], Q]) -> Teller:
    """A condition on what is not open to everybody. closed: the rows that are not open to a reader."""

    def told(test: Test, values: tuple[Any, ...], ground: Ground) -> Told:
        found, shut = inner(test, values, ground), closed(ground.reader)
        return Told(both(found.yes, ~shut), both(found.unknown, ~shut), shut)

    return told
