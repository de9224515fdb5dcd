"""Days as papers write them, found in a text. What has more than one reading, or none, is found too, and said so."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Final

from accessions.values.dates import read_label_date
from governance.papers.offers.offer import WhyNot

_DAY: Final = r"(?P<day>[0-3]?[0-9])(?:st|nd|rd|th|er|\.?[ºª]|\.)?"
_OF: Final = r"\s*(?:(?:de|of|del|day of|dias?(?: del?)? mes de)\s+)?"
_MONTH: Final = r"(?P<month>[a-z]{3,10})(?![a-z])\.?"
_YEAR: Final = r"(?P<year>[12][0-9]{3})"
_START: Final = r"(?<![\w./,|!'\-])"
_END: Final = r"(?![\w]|[./\-][\w])"
_MISREAD_DAY: Final = r"(?=[0-9]?[oli|])[0-9oli|]{1,2}(?:\.?[ºª]|er|\.)?"
_FORMS: Final = (
    ("words", rf"{_START}{_DAY}{_OF}{_MONTH},?\s+(?:del?\s+)?{_YEAR}{_END}"),
    ("words", rf"{_START}{_MONTH}\s+{_DAY},?\s+{_YEAR}{_END}"),
    ("iso", rf"{_START}[12][0-9]{{3}}-[01][0-9]-[0-3][0-9]{_END}"),
    ("figures", rf"{_START}(?P<one>[0-9]{{1,2}})(?P<sign>[./-])\s?(?P<other>[0-9]{{1,2}})(?P=sign)\s?{_YEAR}{_END}"),
    ("short", rf"{_START}[0-9]{{1,2}}(?P<sign>[./-])\s?[0-9]{{1,2}}(?P=sign)\s?'?[0-9]{{2}}(?!\s?[0-9]){_END}"),
    ("short", rf"{_START}{_DAY}{_OF}{_MONTH},?\s+(?:del?\s+)?'?[0-9]{{2}}(?!\s?[0-9]){_END}"),
    ("letters", rf"{_START}{_MISREAD_DAY}{_OF}{_MONTH}(?:,?\s+(?:del?\s+)?[12il|][0-9oli|]{{3}})?{_END}"),
    ("letters", rf"{_START}{_DAY}{_OF}{_MONTH},?\s+(?:del?\s+)?(?=[0-9]*[oli|])[12il|][0-9oli|]{{3}}{_END}"),
    ("open", rf"{_START}{_DAY}{_OF}{_MONTH}(?!\w)"),
    ("open", rf"{_START}{_MONTH}\s+{_DAY}(?!\w)"),
)  # fmt: skip
_COMPILED: Final = tuple((kind, re.compile(form)) for kind, form in _FORMS)


@dataclass(frozen=True, slots=True)
class DayFound:
    """A day in a text. day: as it can be meant in one way only. readings: the days that it can mean otherwise.

    written: in the form of labels, for a first day whose year only its last day tells ("1 May to 31 October 2024").
    """

    start: int
    end: int
    day: date | None
    why_not: str = ""
    readings: tuple[date, ...] = ()
    written: str = ""


def days_in(text: str) -> list[DayFound]:
    """All days in a text made plain (``cues.plain``), in their order; of those that overlap the fuller form."""
    found: list[DayFound] = []
    for kind, form in _COMPILED:
        for match in form.finditer(text):
            if any(match.start() < other.end and other.start < match.end() for other in found):
                continue
            day = _read(kind, match)
            if day:
                found.append(day)
    return sorted(found, key=lambda day: day.start)


def year_from(first: DayFound, last: DayFound) -> date | None:
    """The first of two days whose year is written once, behind both; None if that has no reading.

    >>> first, last = days_in("1 may to 31 october 2024")
    >>> year_from(first, last).isoformat()
    '2024-05-01'
    """
    read = read_label_date(f"{first.written} to {last.written}") if first.written and last.written else None
    return date.fromordinal(read.earliest_day) if read and read.reading == "run" and read.earliest_day else None


def _read(kind: str, match: re.Match[str]) -> DayFound | None:
    groups = match.groupdict()
    place = match.start(), match.end()
    if kind == "iso":
        return _one(place, match[0])
    if kind == "figures":
        return _in_figures(place, int(groups["one"]), int(groups["other"]), int(groups["year"]))
    if "month" in groups and not _is_month(groups["month"]):
        return None
    if kind == "letters":
        return DayFound(*place, None, WhyNot.LETTER_FOR_FIGURE)
    if kind == "short":
        return DayFound(*place, None, WhyNot.TWO_DIGIT_YEAR)
    if kind == "open":
        return DayFound(*place, None, WhyNot.NO_YEAR, written=f"{groups['day']} {groups['month']}")
    return _one(place, f"{int(groups['day'])} {groups['month']} {groups['year']}")


def _one(place: tuple[int, int], written: str) -> DayFound:
    """A form that has one reading, or none at all: 31 April."""
    read = read_label_date(written)
    if read is None or read.reading != "run" or read.earliest_day is None:
        return DayFound(*place, None, WhyNot.NO_SUCH_DAY)
    return DayFound(*place, date.fromordinal(read.earliest_day), written=written)


def _in_figures(place: tuple[int, int], one: int, other: int, year: int) -> DayFound:
    """Day and month in figures: one reading, two, or none."""
    readings = tuple(dict.fromkeys(day for day in (_day(year, other, one), _day(year, one, other)) if day))
    if len(readings) == 2:
        return DayFound(*place, None, WhyNot.TWO_READINGS, readings)
    return _one(place, f"{one}/{other}/{year}")


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _is_month(word: str) -> bool:
    return read_label_date(f"1 {word} 2000") is not None


def blanks_only(text: str) -> bool:
    """Whether nothing that means anything stands between a cue and a day."""
    return bool(_FILLER.fullmatch(text))


_FILLER: Final = re.compile(
    r"(?:[\s:,._\-=>*]|(?:the|of|on|el|dia|los|le|les|la|o|a|em|am|den|dem|vom|du|de|del|da|date|from|this|is|"
    r"monday|tuesday|wednesday|thursday|friday)(?![\w]))*"
)


def joins(text: str, words: re.Pattern[str]) -> bool:
    """Whether the text between two days says that the one is the first and the other the last."""
    bare = text.strip(" \n\t,:")
    if re.fullmatch(r"-+", bare):
        return True
    match = words.match(bare)
    return match is not None and bool(re.fullmatch(r"\s*(?:the|el|le|zum|o|und einschliesslich)?", bare[match.end() :]))
