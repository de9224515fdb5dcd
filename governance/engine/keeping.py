"""How long a record is kept: days alone, no register."""

from __future__ import annotations

import calendar
from datetime import date
from typing import Final

MOST_YEARS: Final = 500
"""More years than this are no rule but a slip of the pen."""


def kept_until(since: date, years: int) -> date:
    """The last day on which a record is kept whose period starts after a day; it may go on the day after.

    The same day of the last year; of a year that has no 29 February, the last day of that month.

    >>> kept_until(date(2004, 2, 29), 20), kept_until(date(2080, 2, 29), 20)
    (datetime.date(2024, 2, 29), datetime.date(2100, 2, 28))

    Raises:
        ValueError: fewer than no years, or more than any rule has.
    """
    if not 0 <= years <= MOST_YEARS:
        raise ValueError(f"{years} years; expected 0 to {MOST_YEARS}")
    year = since.year + years
    if year > date.max.year:
        return date.max
    return date(year, since.month, min(since.day, calendar.monthrange(year, since.month)[1]))


def may_go(until: date, today: date) -> bool:
    """Whether the last day of keeping is over.

    >>> may_go(date(2024, 2, 29), date(2024, 2, 29)), may_go(date(2024, 2, 29), date(2024, 3, 1))
    (False, True)
    """
    return today > until
