"""Day numbers and the calendar. Days are proleptic Gregorian ordinals (``date.toordinal``)."""

from datetime import date

from accessions.values._problems import DateProblem

FIRST_YEAR = 1000
"""A year below it is a number of three digits or a slip (``0377``), never a collecting year."""

LAST_YEAR = 9999

_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
           "November", "December")  # fmt: skip
_LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def days_in_month(year: int, month: int) -> int:
    return 29 if month == 2 and is_leap(year) else _LENGTHS[month - 1]


def check_year(year: int) -> None:
    """Raises: DateProblem: the year is below ``FIRST_YEAR``."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise DateProblem(f"the year {year} is out of range: four digits from {FIRST_YEAR} on are expected")


def check_month(month: int) -> None:
    """Raises: DateProblem: no such month."""
    if not 1 <= month <= 12:
        raise DateProblem(f"there is no month {month}")


def day_number(year: int, month: int, day: int) -> int:
    """Ordinal of the day. Raises: DateProblem: no such day, with the reason ("April has 30 days")."""
    check_year(year)
    check_month(month)
    length = days_in_month(year, month)
    if not 1 <= day <= length:
        if day == 29 and month == 2:
            raise DateProblem(f"{year} is no leap year: February has 28 days")
        raise DateProblem(f"there is no day {day}: {_MONTHS[month - 1]} has {length} days")
    return date(year, month, day).toordinal()


def month_days(year: int, month: int) -> tuple[int, int]:
    """First and last day of a month."""
    first = day_number(year, month, 1)
    return first, first + days_in_month(year, month) - 1


def year_days(first_year: int, last_year: int) -> tuple[int, int]:
    """First day of one year to last day of another, held inside the calendar."""
    first, last = max(first_year, 1), min(last_year, LAST_YEAR)
    return date(first, 1, 1).toordinal(), date(last, 12, 31).toordinal()


def add_months(day: int, months: int) -> int:
    """The same day of the month some months on; the last of that month where it is shorter."""
    start = date.fromordinal(day)
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    if not 1 <= year <= LAST_YEAR:
        raise DateProblem("the interval leaves the calendar")
    return date(year, month + 1, min(start.day, days_in_month(year, month + 1))).toordinal()


def add_days(day: int, days: int) -> int:
    """Day number held inside the calendar: widening may reach its end, never leave it."""
    return min(max(day + days, 1), date.max.toordinal())
