"""One date or time as ISO 8601-1 and EDTF (levels 0 to 2) write it: its days as written and as widened.

Sources: ISO 8601-1:2019; Library of Congress EDTF specification, 4 February 2019; VERDICTS, section 3. Of EDTF only
what names one span of days is read: no sets, no seasons, no year before the common era.
"""

import re
from dataclasses import dataclass
from datetime import date

from accessions.values._calendar import (
    add_days,
    add_months,
    check_month,
    check_year,
    day_number,
    days_in_month,
    is_leap,
    month_days,
    year_days,
)  # fmt: skip
from accessions.values._problems import DateProblem

DAY, MONTH, YEAR, DECADE, CENTURY = range(5)
"""Calendar units, finest first."""

_WEST_MINUTES, _EAST_MINUTES = -12 * 60, 14 * 60

NOT_STANDARD = "not a date in the form 2023-06-12, 2023-06 or 2023"

_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_BASIC = re.compile(r"([0-9]{4})([0-9]{2})([0-9]{2})")
_WEEK = re.compile(r"([0-9]{4})-W([0-9]{2})(?:-([1-7]))?")
_ORDINAL = re.compile(r"([0-9]{4})-([0-9]{3})")
_EDTF = re.compile(
    r"([?~%]?)([0-9]{4}|[0-9]{3}X|[0-9]{2}XX)([?~%]?)"
    r"(?:-([?~%]?)([0-9]{2}|[0-9]X|XX)([?~%]?)(?:-([?~%]?)([0-9]{2}|[0-9]X|XX)([?~%]?))?)?"
)
_ZONE = r"(Z|[+-][0-9]{2}(?::?[0-9]{2})?)?"
_TIME = re.compile(r"([0-9]{2})(?::([0-9]{2})(?::([0-9]{2})(?:[.,][0-9]{1,9})?)?)?" + _ZONE)
_ZONE_PARTS = re.compile(r"([+-])([0-9]{2}):?([0-9]{2})?")


@dataclass(frozen=True, slots=True)
class Clock:
    """A time of day.

    second: of the day, at the start of what is written. seconds: how far the written precision reaches, at least 1.
    zone_minutes: minutes east of UTC, None where no zone is written. is_utc: ``Z`` was written.
    """

    second: int
    seconds: int
    zone_minutes: int | None
    is_utc: bool


@dataclass(frozen=True, slots=True)
class Point:
    """One side of an interval, or a date that stands alone.

    first, last: days as written. wide_first, wide_last: days after a qualifier or ``Z`` has widened them.
    is_exact: known to the day. clock: the time written with it. shape: number of plain parts, from which an end that is
    cut short may borrow (1 year, 2 month, 3 day; 0 other forms).
    """

    first: int
    last: int
    wide_first: int
    wide_last: int
    is_exact: bool
    qualified: bool = False
    clock: Clock | None = None
    shape: int = 0


def read_point(text: str, *, default_utc: bool = False) -> Point:
    """Reads a date or a date with a time.

    Args:
        text: without blanks.
        default_utc: the start of the interval was in UTC, which then holds for an end without a zone of its own.

    Raises:
        DateProblem: the text names no single span of days.
    """
    if found := _DAY.fullmatch(text):
        day = day_number(int(found[1]), int(found[2]), int(found[3]))
        return Point(day, day, day, day, True, shape=3)
    if "T" in text:
        return _read_moment(text, default_utc)
    if found := _EDTF.fullmatch(text):
        return _read_edtf(*found.groups(""))
    return _read_rare(text)


def at_clock(day: int, clock: Clock) -> Point:
    """A moment. With ``Z`` the local day may be a neighbour: places keep UTC-12 to UTC+14."""
    if not clock.is_utc:
        return Point(day, day, day, day, True, clock=clock)
    first = clock.second + _WEST_MINUTES * 60
    last = clock.second + clock.seconds - 1 + _EAST_MINUTES * 60
    earliest, latest = add_days(day, first // 86400), add_days(day, last // 86400)
    return Point(day, day, earliest, latest, earliest == latest, clock=clock)


def read_clock(text: str, *, default_utc: bool = False) -> Clock:
    """Reads ``14``, ``14:07``, ``14:07:30``, each with or without a zone. Raises: DateProblem."""
    found = _TIME.fullmatch(text)
    if not found:
        raise DateProblem("a time is written 14:07 or 14:07:30, with two digits each")
    hour, minute, second = int(found[1]), int(found[2] or 0), int(found[3] or 0)
    for value, limit, name in ((hour, 24, "hour"), (minute, 60, "minute"), (second, 60, "second")):
        if value >= limit:
            raise DateProblem(f"there is no {name} {value}")
    seconds = 1 if found[3] else 60 if found[2] else 3600
    zone = found[4]
    is_utc = zone == "Z" or (zone is None and default_utc)
    return Clock(hour * 3600 + minute * 60 + second, seconds, 0 if is_utc else _zone_minutes(zone), is_utc)


def _zone_minutes(zone: str | None) -> int | None:
    if zone is None:
        return None
    found = _ZONE_PARTS.fullmatch(zone)
    assert found is not None  # _TIME lets nothing else through
    hours, minutes = int(found[2]), int(found[3] or 0)
    if minutes >= 60 or hours * 60 + minutes > 14 * 60:
        raise DateProblem(f"there is no time zone {zone}")
    return (-1 if found[1] == "-" else 1) * (hours * 60 + minutes)


def _read_moment(text: str, default_utc: bool) -> Point:
    day_text, _, time_text = text.partition("T")
    found = _DAY.fullmatch(day_text)
    if not found:
        raise DateProblem("a time needs a full date before it, such as 2023-06-12T14:07")
    day = day_number(int(found[1]), int(found[2]), int(found[3]))
    return at_clock(day, read_clock(time_text, default_utc=default_utc))


def _read_rare(text: str) -> Point:
    """Week, ordinal and basic forms."""
    if found := _WEEK.fullmatch(text):
        return _read_week(int(found[1]), int(found[2]), found[3])
    if found := _ORDINAL.fullmatch(text):
        return _read_ordinal(int(found[1]), int(found[2]))
    if found := _BASIC.fullmatch(text):
        day = day_number(int(found[1]), int(found[2]), int(found[3]))
        return Point(day, day, day, day, True)
    raise DateProblem(NOT_STANDARD)


def _read_week(year: int, week: int, weekday: str | None) -> Point:
    check_year(year)
    try:
        monday = date.fromisocalendar(year, week, 1).toordinal()
    except ValueError:
        raise DateProblem(f"{year} has no week {week}") from None
    first = monday + int(weekday or 1) - 1
    last = first if weekday else first + 6
    return Point(first, last, first, last, bool(weekday))


def _read_ordinal(year: int, day_of_year: int) -> Point:
    check_year(year)
    if not 1 <= day_of_year <= 365 + is_leap(year):
        raise DateProblem(f"{year} has no day {day_of_year}")
    day = date(year, 1, 1).toordinal() + day_of_year - 1
    return Point(day, day, day, day, True)


def _read_edtf(
    year_left: str, year: str, year_right: str,
    month_left: str, month: str, month_right: str,
    day_left: str, day: str, day_right: str,
) -> Point:  # fmt: skip
    first, last, unit = _edtf_days(year, month, day)
    coarsest = _qualified_unit(
        (year_left, year_right), (month_left, month_right), (day_left, day_right), bool(month), bool(day)
    )
    is_exact = unit == DAY
    shape = 0 if "X" in year + month + day else 1 + bool(month) + bool(day)
    if coarsest is None:
        return Point(first, last, first, last, is_exact, shape=shape)
    wide_first, wide_last = _widen(first, last, max(unit, coarsest))
    return Point(first, last, wide_first, wide_last, False, qualified=True)


def _qualified_unit(
    year: tuple[str, str], month: tuple[str, str], day: tuple[str, str], has_month: bool, has_day: bool
) -> int | None:
    """Unit of the coarsest part that a qualifier touches, None without a qualifier.

    A sign right of a part touches it and all before it, except at the very end: there it is that of level 1 and
    touches the date in its own precision. A sign left of a part touches that part alone.
    """
    if any(left and right for left, right in (year, month, day)):
        raise DateProblem("two qualifiers on one part of the date: write % for uncertain and approximate")
    if year[0] or (year[1] and has_month) or (month[1] and has_day):
        return YEAR
    if day[0] or day[1]:
        return MONTH if month[0] else DAY
    if month[0] or month[1]:
        return MONTH
    return YEAR if year[1] else None


def _edtf_days(year: str, month: str, day: str) -> tuple[int, int, int]:
    """First day, last day and calendar unit of a date whose last digits may be ``X``."""
    if "X" in year:
        return _unspecified_year(year, month, day)
    whole_year = int(year)
    check_year(whole_year)
    if not month or month == "XX":
        _need_unspecified(day)
        return *year_days(whole_year, whole_year), YEAR
    if "X" in month:
        _need_unspecified(day)
        low, high = (1, 9) if month[0] == "0" else (10, 12)
        if month[0] > "1":
            raise DateProblem(f"there is no month {month}")
        return day_number(whole_year, low, 1), month_days(whole_year, high)[1], YEAR
    if not day and 21 <= int(month) <= 41:
        raise DateProblem(f"{month} stands for a season or a part of the year, which names no days")
    if not day or day == "XX":
        return *month_days(whole_year, int(month)), MONTH
    if "X" in day:
        return _unspecified_day(whole_year, int(month), int(day[0]))
    number = day_number(whole_year, int(month), int(day))
    return number, number, DAY


def _unspecified_year(year: str, month: str, day: str) -> tuple[int, int, int]:
    _need_unspecified(month)
    _need_unspecified(day)
    first_year = int(year.replace("X", "0"))
    check_year(first_year)
    unit, years = (CENTURY, 100) if year.endswith("XX") else (DECADE, 10)
    return *year_days(first_year, first_year + years - 1), unit


def _unspecified_day(year: int, month: int, tens: int) -> tuple[int, int, int]:
    check_month(month)
    low, high = max(tens * 10, 1), min(tens * 10 + 9, days_in_month(year, month))
    return day_number(year, month, low), day_number(year, month, high), MONTH


def _need_unspecified(part: str) -> None:
    if part not in ("", "XX"):
        raise DateProblem("X before a known part names a set of days, not one span")


def _widen(first: int, last: int, unit: int) -> tuple[int, int]:
    """One calendar unit more on each side."""
    if unit == DAY:
        return add_days(first, -1), add_days(last, 1)
    months = {MONTH: 1, YEAR: 12, DECADE: 120, CENTURY: 1200}[unit]
    # counted from the day after, so that the end of a month stays the end of a month
    return add_months(first, -months), max(add_months(last, months), add_months(last + 1, months) - 1)
