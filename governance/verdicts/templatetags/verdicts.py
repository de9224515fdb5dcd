"""Verdicts in templates: ``{% strip ruling.strip %}``, ``{% verdict 4 %}``."""

from __future__ import annotations

from typing import Any

from django import template

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
