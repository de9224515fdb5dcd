"""An axis of days: where a day falls in percent, and which ticks suit its span."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

MOST_TICKS = 7
ROOM_OF_WORDS = 30.0
"""Percent of the axis that two names of months with a year take on a tablet."""


@dataclass(frozen=True)
class Tick:
    """A line at a percent. day: the first day of what starts there. unit: ``day``, ``month`` or ``year``."""

    x: float
    day: date
    unit: str
    with_year: bool

    @property
    def leaves_no_room(self) -> bool:
        """Whether words behind the line would run over the end of the axis."""
        return self.x > 90


@dataclass(frozen=True)
class Axis:
    """From the start of one day to the end of another."""

    first: date
    last: date

    @classmethod
    def over(cls, first: date, last: date) -> Axis:
        """The axis over two days in either order; at least a week, so that a day has a width."""
        first, last = min(first, last), max(first, last)
        if (last - first).days < 6:
            last = first + timedelta(6) if date.max - first > timedelta(6) else last
        return cls(first, last)

    @property
    def days(self) -> int:
        """How many days the axis holds."""
        return (self.last - self.first).days + 1

    def left(self, day: date | None) -> float:
        """Where a day starts, in percent; the left end for an open start and for days before the axis."""
        return 0.0 if day is None else self._percent((day - self.first).days)

    def right(self, day: date | None) -> float:
        """Where a day ends; the right end for an open end and for days behind the axis."""
        return 100.0 if day is None else self._percent((day - self.first).days + 1)

    def middle(self, day: date) -> float:
        """The middle of a day."""
        return self._percent((day - self.first).days + 0.5)

    def _percent(self, days: float) -> float:
        return round(min(max(days / self.days * 100, 0.0), 100.0), 2)

    def holds(self, day: date) -> bool:
        """Whether a day is on the axis."""
        return self.first <= day <= self.last

    def touches(self, first: date | None, last: date | None) -> bool:
        """Whether a stretch of days has any on the axis."""
        return (first is None or first <= self.last) and (last is None or last >= self.first)

    def ticks(self) -> list[Tick]:
        """Starts of days, weeks, months, quarters, years or tens of years: the finest of which at most seven fit."""
        for unit, every in (("day", 1), ("day", 7), ("month", 1), ("month", 3), ("month", 6)):
            starts = list(_starts(unit, every, self.first, self.last, MOST_TICKS))
            if len(starts) <= MOST_TICKS and (len(starts) > 1 or (unit == "day" and self.days < 10)):
                return self._named(starts, unit)
        return self._named(list(self._years()), "year")

    def _years(self) -> Iterator[date]:
        span = self.last.year - self.first.year + 1
        every = next(step for step in (1, 2, 5, 10, 25, 50, 100, 250, 500, 1000, 2000) if span / step <= MOST_TICKS)
        for year in range(self.first.year + (-self.first.year) % every, self.last.year + 1, every):
            if year >= 1 and date(year, 1, 1) >= self.first:
                yield date(year, 1, 1)

    def _named(self, starts: list[date], unit: str) -> list[Tick]:
        """The year stands with the first tick and wherever it changes. A last month whose words would run over those of
        the one before is left out."""
        ticks = [
            Tick(self.left(day), day, unit, n == 0 or day.year != starts[n - 1].year) for n, day in enumerate(starts)
        ]
        return ticks[:-1] if len(ticks) > 2 and _is_crowded(ticks[-1], ticks[-2]) else ticks


def _is_crowded(last: Tick, before: Tick) -> bool:
    """Whether a month with its year ends at the end of the axis, too near behind the month before."""
    return last.unit == "month" and last.with_year and last.leaves_no_room and last.x - before.x < ROOM_OF_WORDS


def _starts(unit: str, every: int, first: date, last: date, most: int) -> Iterator[date]:
    """Starts of every n-th day or month on the axis; stops after one more than ``most``."""
    found, day = 0, first if unit == "day" else first.replace(day=1)
    while day <= last and found <= most:
        if day >= first and (unit == "day" or (day.month - 1) % every == 0):
            found += 1
            yield day
        if (following := _next(day, unit, every)) is None:
            return
        day = following


def _next(day: date, unit: str, every: int) -> date | None:
    try:
        if unit == "day":
            return day + timedelta(every)
        return (day + timedelta(31)).replace(day=1)
    except OverflowError:
        return None
