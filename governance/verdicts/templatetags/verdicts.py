"""Verdicts in templates: ``{% strip ruling.strip %}``, ``{% verdict 4 %}``."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.html import escape, format_html
from django.utils.safestring import SafeString, mark_safe

from governance.engine.tables import Verdict
from governance.verdicts.cells import Cell, strip_cells

register = template.Library()


@register.inclusion_tag("_components/strip.html")
def strip(digits: str) -> dict[str, Any]:
    """The permission strip of nine digits."""
    return {"cells": strip_cells(digits)}


@register.inclusion_tag("_components/verdict.html")
def verdict(number: int) -> dict[str, Any]:
    """Glyph and word of one verdict."""
    return {"cell": Cell(Verdict(int(number)))}


@register.filter
def unbroken(sentence: str) -> SafeString:
    """A sentence whose references and dates do not break over a line: words with a hyphen and a digit.

    >>> unbroken("after COL-2024-052 & more")
    'after <span class="nowrap">COL-2024-052</span> &amp; more'
    """
    words = (_kept_whole(word) if "-" in word and any(map(str.isdigit, word)) else escape(word)
             for word in str(sentence).split(" "))  # fmt: skip
    return mark_safe(" ".join(words))  # every word is escaped above


def _kept_whole(word: str) -> SafeString:
    return format_html('<span class="nowrap">{}</span>', word)
