"""Days as tables show them: "17 Jun 2024", "30 Jun – 2 Jul 2024", "Aug 2019", "2019"; and as sentences do: "17 June
2024"."""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date
from typing import Final

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.material.models import SamplingEvent
from accessions.values import read_event_date


def event_day(event: SamplingEvent) -> str:
    """When an event was: as it was read, else as it was written, else that it is not known."""
    if event.earliest_on and event.latest_on:
        return span(event.earliest_on, event.latest_on)
    if event.earliest_on:
        return _("from %(day)s") % {"day": short_day(event.earliest_on)}
    if event.latest_on:
        return _("until %(day)s") % {"day": short_day(event.latest_on)}
    return event.event_date or event.verbatim_event_date or _("no date")


def short_day(day: date) -> str:
    """A day in a table."""
    return date_format(day, "j M Y")


def span(first: date, last: date) -> str:
    """From one day to another, without what the two have in common.

    >>> span(date(2024, 6, 17), date(2024, 6, 17)), span(date(2019, 8, 1), date(2019, 8, 31))
    ('17 Jun 2024', 'Aug 2019')
    """
    if first == last:
        return short_day(first)
    if (first.month, first.day, last.month, last.day) == (1, 1, 12, 31):
        return str(first.year) if first.year == last.year else f"{first.year}–{last.year}"
    if _is_whole_month(first, last):
        return date_format(first, "M Y")
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day}–{short_day(last)}"
    return f"{date_format(first, 'j M' if first.year == last.year else 'j M Y')} – {short_day(last)}"


def long_span(first: date, last: date) -> str:
    """From one day to another in a sentence, where a whole month is said by its days.

    >>> long_span(date(2024, 6, 17), date(2024, 6, 17)), long_span(date(2019, 8, 1), date(2019, 8, 31))
    ('17 June 2024', '1–31 August 2019')
    """
    until = date_format(last, "j F Y")
    if first == last:
        return until
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day}–{until}"
    return f"{date_format(first, 'j F' if first.year == last.year else 'j F Y')} – {until}"


_WHOLE: Final = re.compile(r"(\d{4}-\d\d-\d\d)(?:/(\d{4}-\d\d-\d\d))?")


def whole_days(text: str) -> tuple[date, date] | None:
    """First and last day of what is written as a whole day of ISO 8601, or as two; None for everything else.

    >>> whole_days("2024-06-17/2024-06-18")
    (datetime.date(2024, 6, 17), datetime.date(2024, 6, 18))
    >>> whole_days("2024-06"), whole_days("2024-02-30"), whole_days("2024-06-17T10:00")
    (None, None, None)
    """
    found = _WHOLE.fullmatch(text)
    try:
        days = [date.fromisoformat(day) for day in found.groups() if day] if found else []
    except ValueError:
        return None
    return (days[0], days[-1]) if days and days[0] <= days[-1] else None


def written_span(text: str) -> tuple[date, date] | None:
    """First and last day of a day as it was written, ``2027-06`` too; None for none, an open end or no day."""
    read = read_event_date(text)
    if read.earliest_day is None or read.latest_day is None:
        return None
    return date.fromordinal(read.earliest_day), date.fromordinal(read.latest_day)


def written_day(text: str) -> str:
    """A day that is kept as it was written, as tables show days; as it stands where it is no day.

    >>> written_day("2027-07-04"), written_day("2027-07"), written_day("soon")
    ('4 Jul 2027', 'Jul 2027', 'soon')
    """
    found = written_span(text)
    return span(*found) if found else text


def _is_whole_month(first: date, last: date) -> bool:
    return (first.year, first.month, first.day, last.day) == (
        last.year, last.month, 1, monthrange(first.year, first.month)[1],
    )  # fmt: skip
