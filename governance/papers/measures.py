"""Metres, days and individuals in the language of the reader. The engine, which is pure, says them in English."""

from __future__ import annotations

import re
from typing import Final

from django.utils.formats import number_format
from django.utils.translation import ngettext

from governance.engine import explain

QUANTITY: Final = r"(?:\d+(?:\.\d)? k?m|\d+ (?:days?|individuals?))"
"""A number with its unit, as the engine writes it."""

_PARTS: Final = re.compile(r"(±?)(\d+(?:\.\d)?(?= k?m)|\d+) (m|km|days?|individuals?)")


def distance(metres: float) -> str:
    """Metres up to 10 km, with a tenth below 10 m; kilometres beyond."""
    return quantity_said(explain.distance(metres))


def quantity(value: float, unit: str) -> str:
    """A number with its unit: metres as ``distance`` writes them, days, individuals."""
    return quantity_said(explain.quantity(value, unit))


def quantity_said(text: str) -> str:
    """What the engine wrote ("12.3 km", "±61 m", "3 days"), in the reader's language; another text as it stands."""
    found = _PARTS.fullmatch(text)
    if not found:
        return text
    mark, number, unit = found.groups()
    if unit.startswith("day"):
        return ngettext("%(n)s day", "%(n)s days", int(number)) % {"n": number}
    if unit.startswith("individual"):
        return ngettext("%(n)s individual", "%(n)s individuals", int(number)) % {"n": number}
    return f"{mark}{number_format(number, len(number.partition('.')[2]))} {unit}"
