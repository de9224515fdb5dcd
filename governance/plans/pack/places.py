"""Where a stop is, and the areas of the papers that speak for it."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

import numpy as np
import shapely
from django.db.models import Q
from pyproj import Transformer
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from accessions.sites.models import Site, SiteBoundary
from governance.engine.tables import fold
from governance.papers.drawing.version_places import boundary_shape, shape_of
from governance.papers.models import PaperVersion, VersionPlace
from governance.plans.planned_rows import LoadedStop


@dataclass(frozen=True)
class StopPlace:
    """The place of a stop. longitude_deg, latitude_deg: of its point, else of a point inside its area. source:
    ``point``, ``area`` or ``site``. radius_m: None where it is not known, or the place is an area."""

    longitude_deg: float
    latitude_deg: float
    radius_m: float | None
    area: BaseGeometry | None
    source: str


def place_of(one: LoadedStop) -> StopPlace | None:
    """Its own place, else the boundary of its site; None where there is neither. As the rows of the plan have it."""
    stop = one.stop
    area = shape(json.loads(stop.area)) if stop.area else None
    if stop.longitude_deg is not None and stop.latitude_deg is not None:
        return StopPlace(stop.longitude_deg, stop.latitude_deg, stop.radius_m, area, "point")
    if area is not None:
        return _inside(area, "area")
    boundary = one.boundary
    if boundary is None:
        return None
    if boundary.polygon:
        outline = boundary_shape(boundary)
        return _inside(outline, "site") if outline is not None else None
    if boundary.longitude_deg is None or boundary.latitude_deg is None:
        return None
    return StopPlace(boundary.longitude_deg, boundary.latitude_deg, boundary.radius_m, None, "site")


def _inside(area: BaseGeometry, source: str) -> StopPlace:
    at = shapely.point_on_surface(area)
    return StopPlace(float(at.x), float(at.y), None, area, source)


Outlines = Mapping[str, list[SiteBoundary]]
"""Boundaries by folded code or name of the site; a name that several sites bear names none."""


def site_outlines(versions: Iterable[PaperVersion]) -> Outlines:
    """Boundaries of the registered sites that places name without mapping them. Two queries, none if there is none."""
    named = {fold(place.site) for version in versions for place in version.versionplaces.all() if _needs_site(place)}
    if not named:
        return {}
    sites: dict[str, list[Site]] = defaultdict(list)
    found = Site.objects.filter(Q(code_key__in=named) | Q(name_key__in=named)).prefetch_related("boundaries")
    for site in found:
        for key in {site.code_key, site.name_key} & named:
            sites[key].append(site)
    return {key: list(of[0].boundaries.all()) for key, of in sites.items() if len(of) == 1}


def _needs_site(place: VersionPlace) -> bool:
    return bool(place.site) and not place.geojson and place.radius_m is None


def place_shape(place: VersionPlace, outlines: Outlines, first: date, last: date) -> BaseGeometry | None:
    """The mapped area of a place of a paper on some days; None where nothing maps it (a country, a site without
    boundary, or one whose boundary changes on these days)."""
    own = shape_of(place.geojson, place.longitude_deg, place.latitude_deg, place.radius_m)
    if own is not None or not place.site:
        return own
    for boundary in outlines.get(fold(place.site), []):
        starts = boundary.held_from is None or boundary.held_from <= first
        if starts and (boundary.held_to is None or last <= boundary.held_to):
            return boundary_shape(boundary)
    return None


def distance_m(place: StopPlace, area: BaseGeometry) -> float:
    """From the point of a stop to the nearest edge of an area, in metres; 0 inside. For orientation, not for a verdict.

    On a plane around the point, where distances from it are true.
    """
    plane = _plane_around(place.longitude_deg, place.latitude_deg)
    flat = shapely.transform(area, lambda xy: np.column_stack(plane.transform(xy[:, 0], xy[:, 1])))
    return float(shapely.distance(flat, shapely.Point(0, 0)))


@lru_cache(maxsize=256)
def _plane_around(longitude_deg: float, latitude_deg: float) -> Transformer:
    around = f"+proj=aeqd +lat_0={latitude_deg} +lon_0={longitude_deg} +datum=WGS84 +units=m"
    return Transformer.from_crs("EPSG:4326", around, always_xy=True)
