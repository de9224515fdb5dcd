"""Days of the calendar: the same day of a year, so many days, months or years later."""

from __future__ import annotations

import calendar
from datetime import date, timedelta

from governance.engine.duties.tables import Unit


def in_year(month_day: str, year: int) -> date:
    """A day of each year in one year; 29 February is 28 February in a common year.

    >>> in_year("01-31", 2027), in_year("02-29", 2027)
    (datetime.date(2027, 1, 31), datetime.date(2027, 2, 28))
    """
    month, day = int(month_day[:2]), int(month_day[3:])
    return date(year, month, min(day, calendar.monthrange(year, month)[1]))


def add_months(day: date, months: int) -> date:
    """The same day some months later; where the month has no such day, its last.

    >>> add_months(date(2026, 1, 31), 1), add_months(date(2024, 2, 29), 12)
    (datetime.date(2026, 2, 28), datetime.date(2025, 2, 28))
    """
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    if not date.min.year <= year <= date.max.year:
        return date.max if months > 0 else date.min
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def later(day: date, number: int, unit: Unit) -> date:
    """A day so much later; earlier for a number below 0. Days that fall on a holiday stay as they are.

    "28 days after 3 June" is 1 July: the day itself does not count.
    """
    if unit == Unit.DAYS:
        try:
            return day + timedelta(number)
        except OverflowError:
            return date.max if number > 0 else date.min
    return add_months(day, number * (12 if unit == Unit.YEARS else 1))
