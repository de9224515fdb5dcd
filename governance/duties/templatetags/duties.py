"""Duties in words, on their own pages."""

from __future__ import annotations

from datetime import date

from django import template

from governance.duties.models import Duty
from governance.duties.words import about_words, days_words

register = template.Library()


@register.filter
def days_left(due_on: date | None, today: date) -> str:
    """ "3 days late", "today", "in 5 days"."""
    return days_words(due_on, today)


@register.filter
def as_sentence(words: str) -> str:
    """Words that end with a full stop, however they were typed."""
    told = words.strip()
    return told if told.endswith((".", "!", "?", "…")) else f"{told}."


@register.filter
def about_time(duty: Duty) -> str:
    """The time that it is about, in words; "" where it is about none."""
    return about_words(duty.about_from, duty.about_to)
