"""How answers say what they found: numbers with their words, several things as one list."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.contrib.humanize.templatetags.humanize import intcomma

from governance.duties.words import day_words

__all__ = ["counted", "day_words", "days_after", "sentences"]


def counted(words: Any, number: int, /, **more: Any) -> str:
    """A number in its words. words: of ``ngettext_lazy`` with "count" as the number and ``%(n)s`` where it is shown."""
    return str(words % {"n": intcomma(number), "count": number, **more})


def sentences(*told: str) -> str:
    """Sentences one after the other; what is blank is left out."""
    return " ".join(one for one in told if one)


def days_after(day: date, days: int) -> date:
    """A day so many days later, at most the last one that a calendar has; days may be less than nothing."""
    ordinal = min(max(day.toordinal() + days, date.min.toordinal()), date.max.toordinal())
    return date.min + timedelta(ordinal - 1)
