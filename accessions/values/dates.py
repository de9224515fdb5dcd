"""Dates of collecting, export, import and transfer, read from text.

A date is a closed interval of local days. What cannot be read in one way only is not read. Source of the rules:
VERDICTS, section 3. Days are proleptic Gregorian ordinals (``datetime.date.toordinal``).
"""

import re
from dataclasses import dataclass
from datetime import date

from accessions.values._calendar import LAST_YEAR, day_number, days_in_month, month_days, year_days
from accessions.values._intervals import LONGEST_DATE, Interval, read_interval
from accessions.values._label_dates import offered_date, parse_label
from accessions.values._months import month_named
from accessions.values._problems import DateProblem
from accessions.values.blanks import filled

_WHOLE = re.compile(r"[+-]?[0-9]{1,9}")
_DASH = re.compile(r"\s?[\u2013\u2014]\s?")
_YEAR_FIRST_FIGURES = re.compile(r"\s*[0-9]{4}[-/._][0-9]")

_AMBIGUITIES = {
    "2/2/4": "day and month could be either way round",
    "2/2/2": "the century is not written, and the order of its parts is open",
    "2": "the century is not written",
    "2/2": "the year is not written",
}
"""What is open in a date of figures alone: lengths of its parts (2 stands for one or two digits) -> one clause."""


_FIRST_LABEL_DAY = date(1500, 1, 1).toordinal()


@dataclass(frozen=True, slots=True)
class DateRead:
    """A date as read.

    reading: "run" (both ends known to the day), "vague", "missing", "unreadable" or "conflict".
    earliest_day, latest_day: ordinals, both counted, widened by a qualifier or ``Z``; None where open or unknown, or
    where there is no interval (missing, unreadable, conflict).
    qualified: ``?``, ``~`` or ``%`` was written. hint: one clause, "" if there is nothing to say.
    """

    reading: str
    earliest_day: int | None
    latest_day: int | None
    qualified: bool = False
    hint: str = ""


def written_span(text: str) -> tuple[int | None, int | None] | None:
    """First and last day as written, before a qualifier or ``Z`` widens them.

    Returns: ordinals, None on a side that is open or unknown; None altogether where the text is no standard date.
    """
    try:
        interval = read_interval(text)
    except DateProblem:
        return None
    return interval.first, interval.last


def read_event_date(text: str) -> DateRead:
    """Reads an ISO 8601-1 or EDTF date. The text is taken as it stands: blanks inside or around it are not allowed.

    >>> read_event_date("2023-06").reading, read_event_date("2023-06-31").hint
    ('vague', 'there is no day 31: June has 30 days')
    >>> read_event_date("").reading
    'missing'
    """
    if len(text) <= LONGEST_DATE and not filled(text):
        return DateRead("missing", None, None)
    try:
        return _from_interval(read_interval(text))
    except DateProblem as problem:
        return DateRead("unreadable", None, None, hint=_with_offer(str(problem), text))


def read_label_date(text: str) -> DateRead | None:
    """Reads a date as a label writes it, or None where it is blank, has no reading, or more than one.

    Two-digit years, ``03/04/2020``, ``spring 1910`` and ``before 1960`` are never read. Standard forms are.

    >>> read_label_date("24.ix-8.x.2023").reading, read_label_date("5.6.98")
    ('run', None)
    """
    trimmed = text.strip() if len(text) <= 2 * LONGEST_DATE else text
    if len(trimmed) > LONGEST_DATE or not filled(trimmed):
        return None
    for candidate in dict.fromkeys((trimmed, _DASH.sub("/", trimmed))):
        try:
            interval = read_interval(candidate)
        except DateProblem:
            continue
        # four figures below 1500 on a label are a time of day or an elevation rather than a year
        is_year = (interval.first or interval.last or 0) >= _FIRST_LABEL_DAY
        return _from_interval(interval) if is_year else None
    label = parse_label(trimmed)
    return DateRead("run" if label.is_run else "vague", label.first, label.last) if label else None


def read_date(event_date: str = "", verbatim: str = "", year: str = "", month: str = "", day: str = "") -> DateRead:
    """The date of a row: eventDate, or where it is blank year, month and day, held against what else the row says.

    A verbatim date that can be read and is not inside the interval, or filled parts that no day of the interval fits,
    make it a "conflict". Both are held against the interval as widened. A verbatim text alone is no date; what it
    could mean is offered in the hint.

    >>> read_date("2023-06-12", verbatim="13.vi.2023").reading
    'conflict'
    >>> read_date(year="2023", month="6").reading
    'vague'
    """
    parts = _whole(year), _month(month), _whole(day)
    cells = zip(_PARTS, (year, month, day), parts, strict=True)
    unread = [name for name, cell, part in cells if filled(cell) and part is None]
    written = filled(event_date)
    if unread and not written:
        return DateRead("unreadable", None, None, hint=f"{unread[0]} is no number")
    read = read_event_date(written) if written else _from_parts(*parts, verbatim)
    if read.reading not in ("run", "vague"):
        return read
    clash = _clash_with_verbatim(read, verbatim) or (_clash_with_parts(read, *parts) if written else "")
    clash = clash or (f"no day of eventDate {_shown(read)} fits {unread[0]}, which is no number" if unread else "")
    return DateRead("conflict", None, None, hint=clash) if clash else read


def _from_interval(interval: Interval) -> DateRead:
    reading = "run" if interval.is_run and not interval.qualified else "vague"
    return DateRead(reading, interval.earliest, interval.latest, interval.qualified)


def _with_offer(problem: str, text: str) -> str:
    """The reason, with what the text could mean or why it stays open; shown to a person, never taken."""
    if len(text) > LONGEST_DATE:
        return problem
    if parse_label(text) and not _YEAR_FIRST_FIGURES.match(text):
        return f"could be read as {offered_date(text)}"
    if offer := offered_date(text) or _offer_of_dashes(text):
        return f"could be {offer}; confirm it"
    shape = re.sub(r"[0-9]+", _digits_counted, re.sub(r"[.-]", "/", text.strip()))
    has_one_order = shape == "2/2/4" and not _has_both_orders(text)
    return (_no_such_day(text) or problem) if has_one_order else _AMBIGUITIES.get(shape, problem)


def _has_both_orders(text: str) -> bool:
    """Whether day and month of a date of figures could be either way round."""
    first, second, _ = map(int, re.findall(r"[0-9]+", text))
    return 1 <= first <= 12 and 1 <= second <= 12


def _no_such_day(text: str) -> str:
    """Why a date of figures that can have one order alone is no day ("31/04/2019"); "" where it is one."""
    first, second, year = map(int, re.findall(r"[0-9]+", text))
    day, month = (second, first) if second > 12 and first <= 12 else (first, second)
    try:
        day_number(year, month, day)
    except DateProblem as problem:
        return str(problem)
    return ""


def _digits_counted(found: re.Match[str]) -> str:
    return str(len(found[0])) if len(found[0]) > 2 else "2"


def _offer_of_dashes(text: str) -> str:
    """A standard date once dashes are interval marks and outer blanks are gone."""
    candidate = _DASH.sub("/", text.strip())
    return candidate if candidate != text and written_span(candidate) else ""


_PARTS = ("year", "month", "day")


def _whole(text: str) -> int | None:
    """The integer of a cell, also as spreadsheets export it (``2023.0``); None where it is blank or none."""
    found = _WHOLE.fullmatch(filled(text).removesuffix(".0")) if len(text) <= LONGEST_DATE else None
    return int(found[0]) if found else None


def _month(text: str) -> int | None:
    """The month of a cell: a number, a name or a Roman numeral."""
    return _whole(text) or (month_named(filled(text)) if len(text) <= LONGEST_DATE else None)


def _from_parts(year: int | None, month: int | None, day: int | None, verbatim: str) -> DateRead:
    if year is None:
        label = read_label_date(verbatim) if verbatim else None
        offer = offered_date(verbatim) if label and len(verbatim) <= LONGEST_DATE else ""
        return DateRead("missing", None, None, hint=f"verbatimEventDate could be read as {offer}" if offer else "")
    try:
        days = _days_of_parts(year, month, day)
    except DateProblem as problem:
        return DateRead("unreadable", None, None, hint=str(problem))
    return DateRead("run" if month and day else "vague", *days)


def _days_of_parts(year: int, month: int | None, day: int | None) -> tuple[int, int]:
    if month is None:
        if day is not None and not 1 <= day <= 31:
            raise DateProblem(f"there is no day {day}")
        return _whole_year(year)
    if day is None:
        return month_days(year, month)
    number = day_number(year, month, day)
    return number, number


def _whole_year(year: int) -> tuple[int, int]:
    day_number(year, 1, 1)
    return year_days(year, year)


def _clash_with_verbatim(read: DateRead, verbatim: str) -> str:
    label = read_label_date(verbatim) if verbatim else None
    if label is None:
        return ""
    starts_early = read.earliest_day is not None and (
        label.earliest_day is None or label.earliest_day < read.earliest_day
    )
    ends_late = read.latest_day is not None and (label.latest_day is None or label.latest_day > read.latest_day)
    if not (starts_early or ends_late):
        return ""
    return f"verbatimEventDate reads {_shown(label)}, eventDate {_shown(read)}"


def _shown(read: DateRead) -> str:
    ends = [date.fromordinal(d).isoformat() if d else ".." for d in (read.earliest_day, read.latest_day)]
    return ends[0] if ends[0] == ends[1] else "/".join(ends)


def _clash_with_parts(read: DateRead, year: int | None, month: int | None, day: int | None) -> str:
    if (year, month, day) == (None, None, None) or _fits(read, year, month, day):
        return ""
    named = [f"{name} {part}" for name, part in (("year", year), ("month", month), ("day", day)) if part is not None]
    return f"no day of eventDate {_shown(read)} fits {', '.join(named)}"


def _fits(read: DateRead, year: int | None, month: int | None, day: int | None) -> bool:
    """Whether a day of the interval has the filled year, month and day."""
    earliest, latest = read.earliest_day or 1, read.latest_day or date.max.toordinal()
    if year is not None:
        if not 1 <= year <= LAST_YEAR:
            return False
        first, last = year_days(year, year)
        earliest, latest = max(earliest, first), min(latest, last)
    if earliest > latest:
        return False
    # nine years hold every day of the calendar, 29 February around 1900 included
    latest = min(latest, earliest + 9 * 366)
    start, stop = date.fromordinal(earliest), date.fromordinal(latest)
    months = range(start.year * 12 + start.month - 1, stop.year * 12 + stop.month)
    return any(_fits_month(earliest, latest, *divmod(m, 12), month, day) for m in months)


def _fits_month(earliest: int, latest: int, year: int, zero_month: int, month: int | None, day: int | None) -> bool:
    if month is not None and zero_month + 1 != month:
        return False
    if day is None:
        return True
    if not 1 <= day <= days_in_month(year, zero_month + 1):
        return False
    return earliest <= date(year, zero_month + 1, day).toordinal() <= latest
