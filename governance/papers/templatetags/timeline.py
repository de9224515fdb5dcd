"""Timelines in templates: ``{% load timeline %}{% timeline rows today=today drops=drops %}``.

rows: ``TimeRow`` of ``governance.papers.drawing``; the bars of a paper come from ``validity_bands``.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import template
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from governance.papers.drawing import BandKind, Happening, TimeRow, draw_timeline
from governance.papers.drawing.axis import Tick

register = template.Library()

_FORMATS = {("day", False): "j M", ("day", True): "j M Y", ("month", False): "F", ("month", True): "F Y"}


@register.inclusion_tag("_components/timeline.html")
def timeline(
    rows: Sequence[TimeRow],
    first: date | None = None,
    last: date | None = None,
    today: date | None = None,
    drops: Sequence[Happening] = (),
) -> dict[str, Any]:
    """Rows on one axis, with their content in words for those who do not see it."""
    drawing = draw_timeline(rows, first=first, last=last, today=today, drops=drops)
    return {"timeline": drawing, "rows": [(drawn, row_words(drawn.row)) for drawn in drawing.rows] if drawing else []}


@register.filter
def tick_words(tick: Tick) -> str:
    """The words of a tick: ``June``, ``May 2024``, ``3 Jun`` or ``2024``.

    >>> tick_words(Tick(0.0, date(2024, 5, 1), "month", True))
    'May 2024'
    """
    return date_format(tick.day, _FORMATS.get((tick.unit, tick.with_year), "Y"))


def row_words(row: TimeRow) -> str:
    """A row in words: each bar and each day with its dates."""
    parts = [f"{_band_words(band.kind)} {band.label} {days_words(band.first, band.last)}" for band in row.bands]
    parts += [f"{event.label} {days_words(event.first, event.last or event.first)}" for event in row.happenings]
    said = "; ".join(" ".join(part.split()) for part in parts) or _("no days")
    return f"{row.label} {row.sub}".strip() + f": {said}."


def _band_words(kind: BandKind) -> str:
    return {
        BandKind.IN_FORCE: _("in force"),
        BandKind.ENDED: _("ended"),
        BandKind.PLANNED: _("planned"),
        BandKind.PAUSE: _("not in force"),
        BandKind.GAP: _("no paper"),
    }[kind]


def days_words(first: date | None, last: date | None) -> str:
    """A stretch of days in words.

    >>> days_words(date(2024, 6, 17), date(2024, 6, 17)), days_words(None, date(2024, 6, 17))
    ('17 June 2024', 'until 17 June 2024')
    """
    ends = {name: date_format(day, "j F Y") for name, day in (("first", first), ("last", last)) if day}
    if first == last and first:
        return ends["first"]
    if first and last:
        return _("%(first)s to %(last)s") % ends
    if first:
        return _("from %(first)s on") % ends
    return _("until %(last)s") % ends if last else _("without limit")
