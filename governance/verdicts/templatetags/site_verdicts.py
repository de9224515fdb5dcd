"""The map, the timeline, the papers and the verdicts of a site; the room of sites knows none of them.

``{% site_areas periods.boundaries as areas %}``, ``{% site_rows periods as rows %}``,
``{% site_verdicts site as verdicts %}``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

import shapely
from django import template
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.sites.models import Site, SiteBoundary
from governance.papers.countries import country_name, subdivision_name
from governance.papers.drawing import Area, AreaKind, Band, BandKind, Happening, MapPoint, TimeRow
from governance.verdicts.queries import site_verdicts as reads

_MOST_NAMED = 4

register = template.Library()


@register.simple_tag
def site_verdicts(site: Site) -> reads.SiteVerdicts:
    """Papers and worst verdicts of a site."""
    return reads.site_verdicts(site)


@register.filter
def in_words(code: str) -> str:
    """The name of a country or a subdivision."""
    return subdivision_name(code) if "-" in code else country_name(code)


@register.simple_tag
def site_areas(boundaries: Sequence[SiteBoundary]) -> list[Area]:
    """The boundaries on a map, each with its days; the newest last, so that it lies on top."""
    return [_area(boundary) for boundary in boundaries]


@register.simple_tag
def site_points(events: Iterable[Any]) -> list[MapPoint]:
    """Where the newest events were, one point a place, with how well that is known."""
    places: dict[tuple[float, float, float | None], list[Any]] = defaultdict(list)
    for event in events:
        if event.longitude_deg is not None:
            places[event.longitude_deg, event.latitude_deg, event.radius_m].append(event)
    is_named = len(places) <= _MOST_NAMED  # more names than that cover the map
    return [
        MapPoint(*place, label=there[0].number if is_named and len(there) == 1 else "",
                 count=sum(e.specimen_count for e in there))
        for place, there in places.items()
    ]  # fmt: skip


def _area(boundary: SiteBoundary) -> Area:
    label = _period_words(boundary.held_from, boundary.held_to)
    if boundary.polygon:
        return Area(AreaKind.SITE, shapely.from_geojson(boundary.polygon), label)
    longitude, latitude, radius = boundary.longitude_deg or 0, boundary.latitude_deg or 0, boundary.radius_m or 0
    return Area.disc(AreaKind.SITE, longitude, latitude, radius, label)


def _period_words(first: date | None, last: date | None) -> str:
    if first is not None and last is not None:
        return f"{date_format(first, 'j M Y')} – {date_format(last, 'j M Y')}"
    if first is not None:
        return _("from %(day)s") % {"day": date_format(first, "j M Y")}
    return _("until %(day)s") % {"day": date_format(last, "j M Y")} if last is not None else ""


@register.simple_tag
def site_rows(periods: Any, events: Iterable[Any] = ()) -> list[TimeRow]:
    """Boundaries, owners, designations and the newest events as rows of a timeline.

    A row without any day stands in its table alone; events by themselves make no timeline.
    """
    rows = []
    for label, found in (
        (_("Boundary"), [("", boundary) for boundary in periods.boundaries]),
        (_("Owner"), [(str(tenure.agent), tenure) for tenure in periods.tenures if tenure.kind == "owner"]),
        (_("Occupier"), [(str(tenure.agent), tenure) for tenure in periods.tenures if tenure.kind == "occupier"]),
        (_("Designation"), [(designation.name, designation) for designation in periods.designations]),
    ):
        bands = [_band(words, period) for words, period in found]
        if any(band.first or band.last for band in bands):
            rows.append(TimeRow(str(label), bands=bands))
    taken = [
        Happening(event.earliest_on, event.latest_on if event.latest_on != event.earliest_on else None)
        for event in events
        if event.earliest_on
    ]
    return [*rows, TimeRow(_("Events"), happenings=taken)] if rows and taken else rows


def _band(words: str, period: Any) -> Band:
    ended = period.held_to is not None and period.held_to < timezone.localdate()
    return Band(BandKind.ENDED if ended else BandKind.IN_FORCE, period.held_from, period.held_to, words)
