"""When: the days on which a paper is valid, and the answer of each date (VERDICTS section 3)."""

from __future__ import annotations

import calendar
import itertools
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

import numpy as np

from governance.engine.answers import NO, UNKNOWN, YES
from governance.engine.columns import Column, yes
from governance.engine.tables import (
    CODE,
    OPEN_END,
    OPEN_START,
    BoolColumn,
    DateReading,
    Dates,
    EngineError,
    FloatColumn,
    IntColumn,
    LongColumn,
    MonthDay,
    Paper,
    Rows,
    Version,
)

Interval = tuple[int, int]
"""First and last day, both counted."""

_START, _END = int(OPEN_START), int(OPEN_END)
_ENDLESS_DAYS = 2**28
_FIRST_DAY, _LAST_DAY = date.min.toordinal(), date.max.toordinal()


@dataclass(frozen=True)
class Span:
    """The days a version is in force, holes not yet taken out: from its start until the next version starts.

    version: its place by start. start, end: days, both counted.
    """

    version: int
    start: int
    end: int


@dataclass(frozen=True)
class DateTest:
    """What a paper says of every date, shape (n_dates,) each.

    column: the answers. first_version, last_version: int64, the versions (by start) that decide the other tests.
    is_run: the least favourable of these decides.
    """

    column: Column
    first_version: LongColumn
    last_version: LongColumn
    is_run: BoolColumn


class Validity:
    """The valid days of one paper, as disjoint intervals in order.

    start, end: int64 days, both counted. owner: int64, the version (by start) that is in force. certain: the start of
    that version is known.
    """

    def __init__(self, paper: Paper, years: Interval) -> None:
        """Spell out the seasons.

        years: those that the dates touch; closed seasons are spelled out for these and for the years about the ends of
        each version, which is where a nearest valid day can lie.
        """
        self.paper = paper
        self.versions = sorted_versions(paper)
        self.spans = _spans(self.versions)
        self.seasons = [_season_days(self.versions[s.version], s, years) for s in self.spans]
        revoked = [] if paper.revoked_day is None else [(paper.revoked_day, _END)]
        self.suspended = sorted((a, _END if b is None else b) for a, b in paper.suspensions)
        rows = []
        for span, seasons in zip(self.spans, self.seasons, strict=True):
            certain = self.versions[span.version].from_day is not None
            for start, end in subtract([(span.start, span.end)], [*revoked, *self.suspended, *seasons]):
                rows.append((start, end, span.version, certain))
        self._intervals = rows
        self.start = np.array([r[0] for r in rows], np.int64)
        self.end = np.array([r[1] for r in rows], np.int64)
        self.owner = np.array([r[2] for r in rows], np.int64)
        self.certain = np.array([r[3] for r in rows], bool)

    def certain_days(self) -> list[Interval]:
        """Valid days that are known to be so: without those of a version whose start is unknown."""
        return [(start, end) for start, end, _, certain in self._intervals if certain]

    def days_inside(self, earliest: LongColumn, latest: LongColumn, *, certain_only: bool = False) -> LongColumn:
        """Valid days of each closed interval, int64, shape of earliest.

        certain_only: without those of a version whose start is unknown.
        """
        length = np.where(self.certain | (not certain_only), self.end - self.start + 1, 0)
        before = np.concatenate([[0], np.cumsum(length)])

        def up_to(day: LongColumn) -> LongColumn:
            row = np.searchsorted(self.start, day, side="right") - 1
            here = np.maximum(row, 0)
            part = np.minimum(day, self.end[here]) - self.start[here] + 1
            part = np.where(self.certain[here] | (not certain_only), part, 0)
            return np.where(row < 0, 0, before[here] + part).astype(np.int64)

        if not len(self.start):
            return np.zeros(len(earliest), np.int64)
        return up_to(latest) - up_to(earliest - 1)

    def reason(self, day: int) -> str:
        """Why an invalid day is invalid: the first reason in the order of the contract."""
        return min(self.reasons(day, day), key=_REASONS.index)

    def reasons(self, earliest: int, latest: int) -> set[str]:
        """Every reason that holds for some day of the interval."""
        found = set()
        if self.paper.revoked_day is not None and latest >= self.paper.revoked_day:
            found.add("revoked")
        if _meets(self.suspended, earliest, latest):
            found.add("suspended")
        if any(_meets(seasons, earliest, latest) for seasons in self.seasons):
            found.add("closed-season")
        if earliest < self.spans[0].start:
            found.add("before-start")
        if latest > self.spans[-1].end:
            found.add("after-end")
        gaps = [(one.end + 1, following.start - 1) for one, following in pairwise(self.spans)]
        if _meets([g for g in gaps if g[0] <= g[1]], earliest, latest):
            found.add("between-versions")
        return found


_REASONS = ("revoked", "suspended", "closed-season", "between-versions", "before-start", "after-end")
"""In the order of the contract: of several the first is given."""


def sorted_versions(paper: Paper) -> tuple[Version, ...]:
    """The versions by start, an unknown start first.

    Raises:
        EngineError: two versions start on one day, or one ends before it starts.
    """
    ordered = tuple(sorted(paper.versions, key=_start_of))
    for one, following in pairwise(ordered):
        if one.from_day == following.from_day:
            raise EngineError(f"{paper.reference}: two versions start on the same day")
    for version in ordered:
        if version.to_day is not None and version.to_day < _start_of(version):
            raise EngineError(f"{paper.reference}: a version ends before it starts")
    return ordered


def _start_of(version: Version) -> int:
    """An unknown start sorts before every day."""
    return _START if version.from_day is None else version.from_day


def _spans(versions: Sequence[Version]) -> list[Span]:
    """A version is superseded for good on the day on which the next one starts."""
    starts = [_start_of(v) for v in versions]
    next_starts = [*starts[1:], _END + 1]
    return [
        Span(i, starts[i], min(_END if v.to_day is None else v.to_day, next_starts[i] - 1))
        for i, v in enumerate(versions)
    ]


def _season_days(version: Version, span: Span, years: Interval) -> list[Interval]:
    """Closed seasons of a version as days inside its span."""
    if not version.closed_seasons:
        return []
    if not subtract([_SOME_YEARS], [_season_in(s, year) for s in version.closed_seasons for year in range(1999, 2004)]):
        return [(span.start, span.end)]
    ends = [_year_of(d) for d in (span.start, span.end) if _START < d < _END]
    first, last = min([years[0], *ends]) - 2, max([years[1], *ends]) + 2
    days = [_season_in(season, year) for season in version.closed_seasons for year in range(first, last + 1)]
    return [(max(a, span.start), min(b, span.end)) for a, b in days if a <= span.end and b >= span.start and a <= b]


_SOME_YEARS = (date(2000, 1, 1).toordinal(), date(2003, 12, 31).toordinal())
"""A leap year and three common ones: seasons that leave no day of these leave no day at all."""


def _season_in(season: tuple[MonthDay, MonthDay], year: int) -> Interval:
    """A season that starts in this year; it wraps over the new year if its end comes before its start."""
    start, end = season
    return _day_of(year, start, is_start=True), _day_of(year + (end < start), end, is_start=False)


def _day_of(year: int, month_day: MonthDay, *, is_start: bool) -> int:
    """29 February of a common year is 1 March for a start, 28 February for an end."""
    if month_day == (2, 29) and not calendar.isleap(year):
        month_day = (3, 1) if is_start else (2, 28)
    cycles, year_of_cycle = divmod(year - 1, _CYCLE_YEARS)
    return date(year_of_cycle + 1, *month_day).toordinal() + cycles * _CYCLE_DAYS


_CYCLE_YEARS, _CYCLE_DAYS = 400, 146_097
"""The Gregorian calendar repeats itself: a season may begin before year 1 or end after year 9999."""


def _year_of(day: int) -> int:
    """Open ends lie outside the calendar and are brought to its edge."""
    return date.fromordinal(min(max(day, _FIRST_DAY), _LAST_DAY)).year


def subtract(intervals: Iterable[Interval], holes: Iterable[Interval]) -> list[Interval]:
    """Closed intervals of days less closed holes, in order.

    >>> subtract([(1, 10)], [(3, 4), (10, 12)])
    [(1, 2), (5, 9)]
    >>> subtract([], [(3, 4)]), subtract([(3, 4)], [(1, 9)])
    ([], [])
    """
    taken_out = _merged(holes)
    hole_ends = [end for _, end in taken_out]
    left = []
    for start, end in sorted(intervals):
        first = bisect_left(hole_ends, start)
        for hole_start, hole_end in itertools.takewhile(lambda hole: hole[0] <= end, taken_out[first:]):  # noqa: B023
            if start < hole_start:
                left.append((start, hole_start - 1))
            start = hole_end + 1
        if start <= end:
            left.append((start, end))
    return left


def _merged(intervals: Iterable[Interval]) -> list[Interval]:
    """Intervals in order, those that overlap or touch as one; empty ones left out."""
    merged: list[Interval] = []
    for start, end in sorted(i for i in intervals if i[0] <= i[1]):
        if merged and start <= merged[-1][1] + 1:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        else:
            merged.append((start, end))
    return merged


def _meets(intervals: Iterable[Interval], earliest: int, latest: int) -> bool:
    """Some interval has a day in common with that from earliest to latest."""
    return any(a <= latest and b >= earliest for a, b in intervals)


def years_of(dates: Dates) -> Interval:
    """First and last year that the closed ends of the dates touch; (2000, 2000) where there is none."""
    known = (dates.reading == DateReading.RUN) | (dates.reading == DateReading.VAGUE)
    days = np.concatenate([dates.earliest[known], dates.latest[known]])
    days = days[(days > OPEN_START) & (days < OPEN_END)]
    return (2000, 2000) if not len(days) else (_year_of(int(days.min())), _year_of(int(days.max())))


def judge_dates(validity: Validity, dates: Dates) -> DateTest:
    """The answer of one paper to every date (VERDICTS section 3).

    Returns:
        Columns of shape (n_dates,); measures are days. A date that is missing, unreadable or in conflict is UNKNOWN
        and touches every version.
    """
    column = yes(len(dates))
    last = len(validity.spans) - 1
    test = DateTest(column, np.zeros(len(dates), np.int64), np.full(len(dates), last), dates.reading == DateReading.RUN)
    for reading, code in _UNREAD.items():
        column.settle(np.flatnonzero(dates.reading == reading), UNKNOWN, code)
    known = np.flatnonzero((dates.reading == DateReading.RUN) | (dates.reading == DateReading.VAGUE))
    _judge_intervals(validity, dates, known, test)
    return test


_UNREAD = {
    DateReading.MISSING: "date-missing",
    DateReading.UNREADABLE: "date-unreadable",
    DateReading.CONFLICT: "date-conflict",
}


def _judge_intervals(validity: Validity, dates: Dates, rows: Rows, test: DateTest) -> None:
    """The rows of the contract's table for dates that have an interval, and the versions that these touch."""
    earliest, latest = dates.earliest[rows].astype(np.int64), dates.latest[rows].astype(np.int64)
    days_all = latest - earliest + 1
    inside = validity.days_inside(earliest, latest)
    whole, none = inside == days_all, inside == 0
    qualified, is_run = dates.qualified[rows], test.is_run[rows]
    unsure_start = validity.days_inside(earliest, latest, certain_only=True) < inside

    span_start = np.array([s.start for s in validity.spans])
    span_end = np.array([s.end for s in validity.spans])
    test.first_version[rows] = np.searchsorted(span_end, earliest, side="left")
    test.last_version[rows] = np.searchsorted(span_start, latest, side="right") - 1

    shown_all, shown_inside = _finite(days_all), _finite(inside)
    test.column.settle(rows, YES)
    test.column.settle(rows[whole & unsure_start], UNKNOWN, "start-unknown")
    for chosen, answer, code in (
        ((whole & qualified & ~unsure_start) | (~whole & ~none & ~is_run), UNKNOWN, "date-vague"),
        (~whole & ~none & is_run, NO, "straddles"),
    ):
        measure, against = shown_inside[chosen], shown_all[chosen]
        test.column.settle(rows[chosen], answer, code, measure=measure, against=against, miss=against - measure)
    _judge_disjoint(validity, rows[none], earliest[none], latest[none], test)


def _finite(days: LongColumn) -> FloatColumn:
    """Days as they are shown: NaN where there is no end to them."""
    return np.where(days < _ENDLESS_DAYS, days, np.nan)


def _judge_disjoint(validity: Validity, rows: Rows, earliest: LongColumn, latest: LongColumn, test: DateTest) -> None:
    """Days to the nearest valid day, and the reason of the invalid day beside it."""
    touches = test.first_version[rows] <= test.last_version[rows]
    if len(validity.start) == 0:
        nearest_version = _judge_never_valid(validity, rows, earliest, latest, test)
    else:
        after = np.searchsorted(validity.start, latest, side="right")
        before = after - 1
        has_before, has_after = before >= 0, after < len(validity.start)
        before, after = np.maximum(before, 0), np.minimum(after, len(validity.start) - 1)
        since = np.where(has_before, earliest - validity.end[before], _END)
        until = np.where(has_after, validity.start[after] - latest, _END)
        days = np.minimum(since, until)
        back = _reason_numbers(validity, before, validity.end, +1, chosen=since == days)
        forth = _reason_numbers(validity, after, validity.start, -1, chosen=until == days)
        test.column.settle(rows, NO, "", measure=days, miss=days)
        test.column.code[rows] = _REASON_CODES[np.minimum(back, forth)]
        nearest_version = np.where(since == days, validity.owner[before], validity.owner[after])
    lonely = rows[~touches]
    test.first_version[lonely] = test.last_version[lonely] = nearest_version[~touches]


_REASON_CODES = np.array([CODE[r] for r in _REASONS] + [0], np.uint8)


def _reason_numbers(
    validity: Validity, interval: Rows, edge: LongColumn, step: int, *, chosen: BoolColumn
) -> IntColumn:
    """Place in the order of reasons of the day beside an edge of each interval; past the end where not chosen."""
    numbers = np.full(len(interval), len(_REASONS))
    for one in np.unique(interval[chosen]):
        number = _REASONS.index(validity.reason(int(edge[one]) + step))
        numbers[chosen & (interval == one)] = number
    return numbers


def _judge_never_valid(
    validity: Validity, rows: Rows, earliest: LongColumn, latest: LongColumn, test: DateTest
) -> IntColumn:
    """A paper without a single valid day (revoked before it began): a reason, but no distance."""
    versions = np.zeros(len(rows), np.int64)
    for place, (row, first, last) in enumerate(zip(rows, earliest.tolist(), latest.tolist(), strict=True)):
        code = min(validity.reasons(first, last), key=_REASONS.index)
        test.column.settle(np.array([row]), NO, code)
        versions[place] = max([s.version for s in validity.spans if s.start <= first], default=0)
    return versions
