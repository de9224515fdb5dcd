"""Words, days and numbers of a shared page, in its language: ``{% say "title" subject=name %}``."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from django import template
from django.utils import timezone

from governance.reports.models import Report
from governance.reports.queries.shared_page import AccessionRow, Counts, Deposited
from governance.reports.writing.language import words_of

register = template.Library()


@register.simple_tag(takes_context=True)
def say(context: Mapping[str, Any], key: str, **values: Any) -> str:
    """A phrase in the language of the page."""
    words = context["words"]
    return str(words(key, **{name: day_of(context, value) if isinstance(value, date) else value
                             for name, value in values.items()}))  # fmt: skip


@register.simple_tag(takes_context=True)
def day_of(context: Mapping[str, Any], day: date | datetime) -> str:
    """A day in words."""
    return str(context["words"].day(timezone.localtime(day).date() if isinstance(day, datetime) else day))


@register.simple_tag(takes_context=True)
def taken_of(context: Mapping[str, Any], row: AccessionRow) -> str:
    """The days of an accession, then the months, years or times of which nobody knows the day: never a day that nobody
    wrote down."""
    words = context["words"]
    told = [words.days(row.first_on, row.last_on)] if row.first_on or row.last_on else []
    told += [_vague(words, first, last) for first, last in row.vague]
    text = "; ".join(told) or str(words("no_day"))
    return f"{text} {_more(words, row.more_vague)}" if row.more_vague else text


def _vague(words: Any, first: date, last: date) -> str:
    """A month, a year, or between two days."""
    after = last + timedelta(1)
    if first.day == after.day == 1:
        if first.month == after.month == 1:
            return str(first.year) if first.year == last.year else f"{first.year}–{last.year}"
        if (first.year, first.month) == (last.year, last.month):
            return str(words("month_year", month=words.groups["months"][first.month - 1], year=str(first.year)))
    return str(words("between", first=words.day(first), last=words.day(last)))


def _more(words: Any, n: int) -> str:
    return str(words("more_sites_one" if n == 1 else "more_sites", n=n))


@register.simple_tag(takes_context=True)
def more_of(context: Mapping[str, Any], n: int) -> str:
    """That there are more than are named."""
    return _more(context["words"], n)


@register.simple_tag(takes_context=True)
def places_of(context: Mapping[str, Any], found: Deposited) -> str:
    """How many were deposited, and where."""
    words = context["words"]
    if len(found.places) == 1:
        return str(words.pair(words.number(found.count), found.places[0][0]))
    told = "; ".join(words.pair(name, words.number(n)) for name, n in found.places)
    return f"{words.number(found.count)} ({told})"


@register.simple_tag(takes_context=True)
def report_kind(context: Mapping[str, Any], report: Report) -> str:
    """What a report is, in the language of the page."""
    return words_of(context["words"].code).of("report_kinds", report.kind)


@register.simple_tag(takes_context=True)
def number_of(context: Mapping[str, Any], value: int) -> str:
    """A number as the language writes it."""
    return str(context["words"].number(value))


@register.simple_tag(takes_context=True)
def deeds_of(context: Mapping[str, Any], by_deed: Mapping[str, int]) -> str:
    """What was done, each with its number; that no use is recorded, where none is."""
    words = context["words"]
    told = [words.pair(words.of("deeds", deed), words.number(n)) for deed, n in by_deed.items()]
    return "; ".join(told) or str(words("no_use"))


@register.simple_tag(takes_context=True)
def now_of(context: Mapping[str, Any], row: AccessionRow | Counts) -> str:
    """Where it is now: here, out, gone by what."""
    words = context["words"]
    told = [(words(key), n) for key, n in (("here", row.here), ("out", row.out)) if n]
    told += [(words.of("deeds", deed), n) for deed, n in row.gone.items()]
    return "; ".join(words.pair(name, words.number(n)) for name, n in told)


@register.simple_tag(takes_context=True)
def country_of(context: Mapping[str, Any], code: str) -> str:
    """A country by its name in the language."""
    return str(context["words"].country(code))


@register.filter
def megabytes(size: int) -> str:
    """The size of a file: kB below a megabyte, then MB with a tenth."""
    return f"{max(size // 1000, 1)} kB" if size < 1_000_000 else f"{size / 1_000_000:.1f} MB"
