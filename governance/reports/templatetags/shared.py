"""Words, days and numbers of a shared page, in its language: ``{% say "title" subject=name %}``."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django import template
from django.utils import timezone

from governance.reports.queries.shared_page import AccessionRow, Counts

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
def days_of(context: Mapping[str, Any], first: date | None, last: date | None) -> str:
    """Days from the first to the last."""
    return str(context["words"].days(first, last)) if first or last else str(context["words"]("no_day"))


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
