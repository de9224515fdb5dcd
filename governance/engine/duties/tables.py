"""What a rule of a duty says, what is known of its paper, and the duties that follow."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import Final

from governance.engine.tables import EngineError


class When(StrEnum):
    """From what a duty is counted. The words are stored: never change one. Source: conditions of permits as
    ``abs_facts`` and practice have them (by a day each year, after issue, expiry, collection, use ...)."""

    EACH_YEAR = "each-year"
    TWICE_A_YEAR = "twice-a-year"
    EACH_QUARTER = "each-quarter"
    AFTER_ISSUE = "after-issue"
    AFTER_EXPIRY = "after-expiry"
    AFTER_COLLECTION = "after-collection"
    AFTER_LAST_FIELD_DAY = "after-last-field-day"
    AFTER_PUBLICATION = "after-publication"
    AFTER_USE = "after-use"
    BEFORE_ENTRY = "before-entry"
    BEFORE_LEAVING = "before-leaving"
    ON_A_DAY = "on-a-day"


BY_CALENDAR: Final = frozenset({When.EACH_YEAR, When.TWICE_A_YEAR, When.EACH_QUARTER})
"""Duties that come again with the calendar, as long as the paper stands."""


class Unit(StrEnum):
    """Of what is counted from a day."""

    DAYS = "days"
    MONTHS = "months"
    YEARS = "years"


class About(StrEnum):
    """The time that a yearly report is about. BY_CUSTOM: due in the first half of a year, it is about the calendar year
    before, later about the twelve months up to its day (as papers write it: Wisconsin 10 January, New Hampshire
    31 January, Acadia 31 March)."""

    BY_CUSTOM = ""
    YEAR_BEFORE = "year-before"
    UP_TO_THE_DAY = "up-to-the-day"


_MONTH_DAY: Final = re.compile(r"(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])", re.ASCII)


@dataclass(frozen=True)
class Rule:
    """One duty as a paper asks for it. month_day: "01-31", of EACH_YEAR alone. number, unit: how long after (or, before
    entry and leaving, before) the day. on: of ON_A_DAY alone. deeds: of AFTER_USE, codes of deeds; none: any.
    if_nothing: also where nothing was taken in the time that it is about (a nil return). from_day, to_day: when the
    rule itself stood; None: as long as the paper.

    Raises:
        EngineError: parts that do not go together.
    """

    when: When
    month_day: str = ""
    number: int = 0
    unit: Unit = Unit.DAYS
    on: date | None = None
    about: About = About.BY_CUSTOM
    deeds: frozenset[str] = frozenset()
    if_nothing: bool = True
    from_day: date | None = None
    to_day: date | None = None

    def __post_init__(self) -> None:
        if (self.when == When.EACH_YEAR) != bool(self.month_day):
            raise EngineError("month_day is for a duty each year, and such a duty needs it")
        if self.month_day and not _MONTH_DAY.fullmatch(self.month_day):
            raise EngineError(f'month_day is {self.month_day!r}; a day of each year is written MM-DD, such as "01-31"')
        if (self.when == When.ON_A_DAY) != (self.on is not None):
            raise EngineError("on is for a duty on one day, and such a duty needs it")
        if self.number < 0:
            raise EngineError(f"number is {self.number}; the direction follows from when, so it is 0 or more")


@dataclass(frozen=True)
class Span:
    """Days from the first to the last; None: not known, or open."""

    first: date | None = None
    last: date | None = None


@dataclass(frozen=True)
class Happening:
    """Something that a duty is counted from: a day of taking, a publication, a use. key: stable; label: for people.
    day: its last day; None: not known. deed: code of what was done, of uses alone."""

    key: str
    label: str
    day: date | None
    deed: str = ""


@dataclass(frozen=True)
class Trip:
    """Days in the field under a paper: an accession, or a plan that is open. Days None: not known. told_on: when the
    notice was given, as recorded with the plan."""

    key: str
    label: str
    first: date | None
    last: date | None
    is_planned: bool = False
    told_on: date | None = None


@dataclass(frozen=True)
class PaperFacts:
    """What is known of one paper. stands: from its first day to its last, which is earlier where it was revoked or
    given back. taking: each day on which something was taken under it; taking_unknown: whether more was taken on days
    that nobody knows. Days that are None are not known."""

    issued: date | None = None
    stands: Span = Span()
    taking: tuple[Happening, ...] = ()
    taking_unknown: bool = False
    trips: tuple[Trip, ...] = ()
    publications: tuple[Happening, ...] = ()
    uses: tuple[Happening, ...] = ()


@dataclass(frozen=True)
class Because:
    """Why a duty falls due on its day: a code with values, put in words by whoever shows it. Codes: those of ``When``,
    with ``day``, from which it is counted (of a duty each year or once: the day itself), and ``month_day``, ``number``
    and ``unit``, ``label`` where there are any; "day-not-known" with ``of``, a word of ``When``, where the day it is
    counted from is not known."""

    code: str
    values: Mapping[str, str | int] = field(default_factory=dict)


@dataclass(frozen=True)
class Occurrence:
    """One duty that follows from a rule. key: stable while the facts stay, unique within the rule. due None: not known.
    counted_from: the day. about: the time that a report is about. of: key of the happening or trip. told_on: it was
    done, as another record says."""

    key: str
    due: date | None
    because: Because
    counted_from: date | None = None
    about: Span | None = None
    of: str = ""
    label: str = ""
    told_on: date | None = None
