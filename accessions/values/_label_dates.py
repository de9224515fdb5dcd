"""Dates as labels write them, where only one reading is possible: no century, no order of day and month is guessed."""

import re
from dataclasses import dataclass
from datetime import date

from accessions.values._calendar import day_number, month_days, year_days
from accessions.values._intervals import LONGEST_DATE
from accessions.values._months import month_named
from accessions.values._problems import DateProblem

_TOKEN = re.compile(r"\s*(?:([0-9]+)(?:st|nd|rd|th|er|\u00ba|\u00aa)?(?![0-9])|([^\W\d_]+)|([-\u2013\u2014/.,]))")
_RANGE_MARKS = frozenset("-\u2013\u2014/")
_FILLERS = frozenset({"de", "of", "del", "di", "den", "der"})
_DECADE = re.compile(r"(1[5-9]|20)([0-9])0['\u2019]?s")
_NUMERIC = re.compile(r"([0-9]{1,2})([./-])([0-9]{1,2})\2([0-9]{4})")
_YEAR_FIRST = re.compile(r"([0-9]{4})([./_-])([0-9]{1,2})\2([0-9]{1,2})")
_YEAR_SPAN = re.compile(r"([0-9]{4})\s?[-\u2013\u2014]\s?([0-9]{4})")


@dataclass(frozen=True, slots=True)
class LabelDate:
    """first, last: days. is_run: both ends are known to the day. standard: the same in ISO 8601 or EDTF."""

    first: int
    last: int
    is_run: bool
    standard: str


@dataclass(frozen=True, slots=True)
class _Side:
    """One date of a label: year, and month and day as far as they are written."""

    year: int
    month: int = 0
    day: int = 0

    def days(self) -> tuple[int, int]:
        if self.day:
            number = day_number(self.year, self.month, self.day)
            return number, number
        if self.month:
            return month_days(self.year, self.month)
        return year_days(self.year, self.year)

    def standard(self) -> str:
        parts = [f"{self.year:04}"] + [f"{part:02}" for part in (self.month, self.day) if part]
        return "-".join(parts)


def parse_label(text: str) -> LabelDate | None:
    """The one reading of a label's date; None if there is none, or more than one. ISO forms are not read here."""
    trimmed = text.strip()
    if not 4 < len(trimmed) <= LONGEST_DATE:
        return None
    try:
        return _decade(trimmed) or _year_span(trimmed) or _in_figures(trimmed) or _in_words(trimmed)
    except DateProblem:
        return None


def _joined(start: _Side, end: _Side) -> LabelDate | None:
    first, last = start.days()[0], end.days()[1]
    if start.days()[0] > end.days()[0]:
        return None
    standard = start.standard() if start == end else f"{start.standard()}/{end.standard()}"
    return LabelDate(first, last, bool(start.day and end.day), standard)


def _decade(text: str) -> LabelDate | None:
    found = _DECADE.fullmatch(text)
    if not found:
        return None
    # "1900s" may mean the decade or the century
    if found[2] == "0":
        return None
    year = int(found[1] + found[2] + "0")
    return LabelDate(*year_days(year, year + 9), False, f"{found[1]}{found[2]}X")


def _year_span(text: str) -> LabelDate | None:
    found = _YEAR_SPAN.fullmatch(text)
    if not found:
        return None
    years = int(found[1]), int(found[2])
    return _joined(_Side(years[0]), _Side(years[1])) if all(map(_is_year, years)) else None


def _in_figures(text: str) -> LabelDate | None:
    """``25/12/2020``, ``2021/10/28``: figures alone, readable where only one of day and month is possible."""
    if found := _NUMERIC.fullmatch(text):
        return _day_or_month(int(found[4]), int(found[1]), int(found[3]))
    if (found := _YEAR_FIRST.fullmatch(text)) and found[2] != "-":
        return _day_or_month(int(found[1]), int(found[3]), int(found[4]))
    return None


def _day_or_month(year: int, one: int, other: int) -> LabelDate | None:
    if not _is_year(year):
        return None
    readings = set()
    for month, day in ((one, other), (other, one)):
        try:
            readings.add((day_number(year, month, day), month, day))
        except DateProblem:
            continue
    if len(readings) != 1:
        return None
    (_, month, day) = readings.pop()
    return _joined(_Side(year, month, day), _Side(year, month, day))


def _is_year(number: int) -> bool:
    # outside these years a figure of four digits on a label may be an elevation or a field number
    return 1500 <= number <= 2100


def _in_words(text: str) -> LabelDate | None:
    """Dates with the month in words or Roman numerals."""
    tokens = _tokens(text)
    if tokens is None:
        return None
    kinds, values, marks = tokens
    reading = _SHAPES.get(kinds)
    if reading is None or marks != [mark for mark, left in zip(marks, reading[0], strict=True) if _allowed(mark, left)]:
        return None
    sides = [_Side(*(values[i] if i >= 0 else 0 for i in side)) for side in reading[1:]]
    return _joined(sides[0], sides[-1])


def _allowed(mark: str, is_range: bool) -> bool:
    """Whether the sign between two parts may stand there: a range mark parts two dates, others join one date."""
    return mark in _RANGE_MARKS or mark == "to" if is_range else mark in ("", ".", ",", ".,", "-", "/")


def _tokens(text: str) -> tuple[str, list[int], list[str]] | None:
    """Kinds of the parts (D day, M month, U unknown day, Y year), their values, and the signs between them."""
    kinds, values, marks, between = "", [], [], ""
    position = 0
    while position < len(text):
        found = _TOKEN.match(text, position)
        if not found:
            return None
        position = found.end()
        number, word, sign = found.groups()
        if sign:
            between += sign
            continue
        if word and word.casefold() in _FILLERS:
            continue
        if word and word.casefold() == "to":
            between += "to"
            continue
        part = _part(number, word)
        if part is None:
            return None
        if kinds:
            marks.append(_mark(between))
        elif between:
            return None
        kinds, between = kinds + part[0], ""
        values.append(part[1])
    return (kinds, values, marks) if between in ("", ".") else None


def _mark(between: str) -> str:
    """The sign between two parts; an abbreviation's full stop before a range mark is nothing (``Sept.-Oct.``)."""
    return between[1:] if len(between) > 1 and between[0] == "." else between


def _part(number: str | None, word: str | None) -> tuple[str, int] | None:
    if number:
        value = int(number)
        if len(number) == 4:
            return ("Y", value) if _is_year(value) else None
        return ("D", value) if len(number) <= 2 and 1 <= value <= 31 else None
    if word in ("XX", "xx"):
        return "U", 0
    month = month_named(word or "")
    return ("M", month) if month else None


# Shape of a label -> which of the signs between the parts is a range mark; then, for each date, the positions of year,
# month and day among the parts (-1: not written).
_SHAPES: dict[str, tuple[tuple[bool, ...], *tuple[tuple[int, int, int], ...]]] = {
    "DMY": ((False, False), (2, 1, 0)),
    "MDY": ((False, False), (2, 0, 1)),
    "YMD": ((False, False), (0, 1, 2)),
    "UMY": ((False, False), (2, 1, -1)),
    "MY": ((False,), (1, 0, -1)),
    "YM": ((False,), (0, 1, -1)),
    "DDMY": ((True, False, False), (3, 2, 0), (3, 2, 1)),
    "MDDY": ((False, True, False), (3, 0, 1), (3, 0, 2)),
    "YMDD": ((False, False, True), (0, 1, 2), (0, 1, 3)),
    "DMDMY": ((False, True, False, False), (4, 1, 0), (4, 3, 2)),
    "MDMDY": ((False, True, False, False), (4, 0, 1), (4, 2, 3)),
    "DMYDMY": ((False, False, True, False, False), (2, 1, 0), (5, 4, 3)),
    "MDYMDY": ((False, False, True, False, False), (2, 0, 1), (5, 3, 4)),
    "MMY": ((True, False), (2, 0, -1), (2, 1, -1)),
    "MYMY": ((False, True, False), (1, 0, -1), (3, 2, -1)),
}


def offered_date(text: str) -> str:
    """ISO form of a date that is not written in the standard but might mean it (``2021-28-10``), "" if none.

    It is only ever shown to a person; a reader never takes it.
    """
    trimmed = text.strip()
    if label := parse_label(trimmed):
        return label.standard
    if (found := _YEAR_FIRST.fullmatch(trimmed)) and int(found[3]) > 12:
        year, day, month = int(found[1]), int(found[3]), int(found[4])
        try:
            return date.fromordinal(day_number(year, month, day)).isoformat()
        except DateProblem:
            return ""
    return ""
