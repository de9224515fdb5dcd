"""A whole eventDate: a date alone, or an interval of two (ISO 8601-1, EDTF)."""

import re
from dataclasses import dataclass
from datetime import date

from accessions.values._calendar import add_days, add_months, day_number
from accessions.values._problems import DateProblem
from accessions.values._standard_dates import Clock, Point, at_clock, read_clock, read_point

_MONTH_DAY = re.compile(r"(?:([0-9]{2})-)?([0-9]{2})")
_DURATION = re.compile(
    r"P(?:([0-9]{1,4})Y)?(?:([0-9]{1,4})M)?(?:([0-9]{1,4})W)?(?:([0-9]{1,5})D)?"
    r"(T(?:([0-9]{1,5})H)?(?:([0-9]{1,6})M)?(?:([0-9]{1,7})S)?)?"
)
LONGEST_DATE = 80
"""Characters. No form that is read is longer."""


@dataclass(frozen=True, slots=True)
class Interval:
    """first, last: days as written, None where open or unknown. earliest, latest: widened. is_run: both ends known."""

    first: int | None
    last: int | None
    earliest: int | None
    latest: int | None
    is_run: bool
    qualified: bool


def read_interval(text: str) -> Interval:
    """Reads an eventDate without blanks. Raises: DateProblem."""
    if len(text) > LONGEST_DATE:
        raise DateProblem("longer than any date")
    if "/" not in text:
        return _alone(text)
    start, _, end = text.partition("/")
    if "/" in end:
        raise DateProblem("two interval marks; an interval has one, between start and end")
    if start in ("", "..") and end in ("", ".."):
        raise DateProblem("an interval needs a start or an end")
    if "P" in (start[:1], end[:1]):
        return _with_duration(start, end)
    if end in ("", ".."):
        return _open_end(read_point(start))
    if start in ("", ".."):
        return _open_start(read_point(end))
    return _closed(read_point(start), end)


def _alone(text: str) -> Interval:
    if text == "..":
        raise DateProblem("an open mark alone is no date")
    if _DURATION.fullmatch(text):
        raise DateProblem("a duration alone has no place in time")
    p = read_point(text)
    return Interval(p.first, p.last, p.wide_first, p.wide_last, p.is_exact, p.qualified)


def _open_end(start: Point) -> Interval:
    return Interval(start.first, None, start.wide_first, None, False, start.qualified)


def _open_start(end: Point) -> Interval:
    return Interval(None, end.last, None, end.wide_last, False, end.qualified)


def _closed(start: Point, end_text: str) -> Interval:
    end = _read_end(start, end_text)
    if start.first > end.last or _runs_back_on_the_clock(start, end):
        raise DateProblem("the interval ends before it starts")
    return Interval(start.first, end.last, start.wide_first, end.wide_last,
                    start.is_exact and end.is_exact, start.qualified or end.qualified)  # fmt: skip


def _runs_back_on_the_clock(start: Point, end: Point) -> bool:
    """Both ends carry a time, on one clock, and the end is the earlier. Times on two clocks are not compared."""
    if start.clock is None or end.clock is None:
        return False
    if (start.clock.zone_minutes is None) != (end.clock.zone_minutes is None):
        return False
    moments = [p.first * 86400 + c.second - (c.zone_minutes or 0) * 60
               for p, c in ((start, start.clock), (end, end.clock))]  # fmt: skip
    return moments[1] + end.clock.seconds <= moments[0]


def _read_end(start: Point, text: str) -> Point:
    """The end of an interval; what it leaves out at its front is taken from the start."""
    in_utc = start.clock is not None and start.clock.is_utc
    if start.clock is not None and re.match(r"[0-9]{2}:", text):
        end = read_clock(text, default_utc=in_utc)
        if end.zone_minutes is None and start.clock.zone_minutes is not None:
            # ISO 8601-1: a zone that the end leaves out is that of the start
            end = Clock(end.second, end.seconds, start.clock.zone_minutes, end.is_utc)
        return at_clock(start.first, end)
    day_text, mark, time_text = text.partition("T")
    short = _MONTH_DAY.fullmatch(day_text)
    if not short:
        return read_point(text, default_utc=in_utc)
    return _borrowed_end(start, short[1], int(short[2]), read_clock(time_text, default_utc=in_utc) if mark else None)


def _borrowed_end(start: Point, month: str | None, last_part: int, clock: Clock | None) -> Point:
    """An end of which the year, or year and month, are those of the start."""
    begun = date.fromordinal(start.first)
    if start.shape == 2 and month is None and clock is None:
        return read_point(f"{begun.year:04}-{last_part:02}")
    is_like_start = clock is not None if start.clock else clock is None and start.shape == 3
    if not is_like_start:
        raise DateProblem("the end of the interval is not a full date, and cannot be completed from its start")
    day = day_number(begun.year, int(month) if month else begun.month, last_part)
    return at_clock(day, clock) if clock else Point(day, day, day, day, True)


def _with_duration(start: str, end: str) -> Interval:
    """An interval of which one side is a length of time; known to the day only if the other side has a time."""
    backward = start.startswith("P")
    found = _DURATION.fullmatch(start if backward else end)
    if not found or not any(found.groups()) or found[5] == "T":
        raise DateProblem("a duration is written P1Y2M10DT2H30M")
    anchor = read_point(end if backward else start)
    if not (anchor.first == anchor.last and not anchor.qualified):
        raise DateProblem("a duration needs a day to count from")
    sign = -1 if backward else 1
    numbers = [int(part or 0) for part in found.groups()[:4] + found.groups()[5:]]
    other = _shifted(anchor, sign, numbers)
    first, second = (other, anchor) if backward else (anchor, other)
    is_run = first.is_exact and second.is_exact and anchor.clock is not None
    return Interval(first.first, second.last, first.wide_first, second.wide_last, is_run, False)


def _shifted(anchor: Point, sign: int, numbers: list[int]) -> Point:
    years, months, weeks, days, hours, minutes, seconds = numbers
    day = add_months(anchor.first, sign * (years * 12 + months))
    second = (anchor.clock.second if anchor.clock else 0) + sign * (hours * 3600 + minutes * 60 + seconds)
    moved = add_days(day, sign * (weeks * 7 + days) + second // 86400)
    if anchor.clock is None:
        return Point(moved, moved, moved, moved, True)
    clock = anchor.clock
    return at_clock(moved, Clock(second % 86400, clock.seconds, clock.zone_minutes, clock.is_utc))
