"""The places of a paper's version, and the boundaries of sites, as areas of a map."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Protocol

import shapely
from shapely.geometry.base import BaseGeometry

from governance.jurisdictions import outlines
from governance.papers.drawing.pieces import Area, AreaKind, disc


class Place(Protocol):
    """What a place of a version says: a row of ``VersionPlace``."""

    excluded: bool
    country: str
    subdivision: str
    site: str
    geojson: str
    longitude_deg: float | None
    latitude_deg: float | None
    radius_m: float | None


class Boundary(Protocol):
    """What a boundary of a site says: a row of ``SiteBoundary``."""

    polygon: str
    longitude_deg: float | None
    latitude_deg: float | None
    radius_m: float | None


def areas_of_places(
    places: Iterable[Place], sites: Mapping[str, BaseGeometry] | None = None, label: str = ""
) -> list[Area]:
    """The areas of the places of a version, included ones first; a place without a shape is left out.

    Args:
        places: rows of ``VersionPlace``.
        sites: shapes of registered sites by the text of ``VersionPlace.site``, for sites without an area of their own.
        label: the words on the included area, such as ``COL-2024-052 v2``; an excluded one has the name of its site.
    """
    areas = []
    for place in sorted(places, key=lambda place: place.excluded):
        own = shape_of(place.geojson, place.longitude_deg, place.latitude_deg, place.radius_m)
        shape = own or (sites or {}).get(place.site)
        outline = _outline(place) if shape is None else None
        drawn = outline if shape is None else shape
        if drawn is not None:
            kind = AreaKind.EXCLUDED if place.excluded else AreaKind.PERMITTED
            areas.append(Area(kind, drawn, place.site if place.excluded else label, frames=outline is None))
            label = label if place.excluded else ""
    return areas


def boundary_shape(boundary: Boundary) -> BaseGeometry | None:
    """The shape of a site's boundary; None where it cannot be read."""
    return shape_of(boundary.polygon, boundary.longitude_deg, boundary.latitude_deg, boundary.radius_m)


def shape_of(
    geojson: str, longitude_deg: float | None, latitude_deg: float | None, radius_m: float | None
) -> BaseGeometry | None:
    """A polygon as GeoJSON text, or a disc; None where there is neither, or the text cannot be read."""
    if geojson:
        return polygons_of(geojson)
    if longitude_deg is None or latitude_deg is None:
        return None
    return disc(longitude_deg, latitude_deg, max(radius_m or 0.0, 1.0))


def polygons_of(geojson: str) -> BaseGeometry | None:
    """The polygons of a GeoJSON geometry, feature or collection, joined."""
    try:
        shape = _joined(shapely.from_geojson(geojson))
    except (shapely.errors.GEOSException, json.JSONDecodeError):
        return None
    return None if shape.is_empty else shape


def _joined(shape: BaseGeometry) -> BaseGeometry:
    parts = [part for part in _flat(shape) if part.geom_type == "Polygon"]
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)


def _flat(shape: BaseGeometry) -> list[BaseGeometry]:
    if not hasattr(shape, "geoms"):
        return [shape]
    return [leaf for part in shape.geoms for leaf in _flat(part)]


def _outline(place: Place) -> BaseGeometry | None:
    if place.subdivision:
        return outlines.subdivisions().get(place.subdivision)
    return outlines.countries().get(place.country) if place.country else None
