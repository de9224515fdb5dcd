"""Outlines that a person pastes: GeoJSON or WKT, in longitude and latitude of WGS84."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from accessions.values.footprints import LONGEST_WKT, read_footprint

_EXPECTED = _(
    "Paste a Polygon or MultiPolygon as GeoJSON, or as WKT such as "
    "POLYGON ((13.0 57.0, 13.1 57.0, 13.1 57.1, 13.0 57.0))."
)


def read_outline(text: str) -> str:
    """The outline as one GeoJSON geometry (RFC 7946).

    Raises:
        ValidationError: it is neither, is no area, or is not sound; the message says what was found.
    """
    if len(text) > LONGEST_WKT:
        raise ValidationError(_("The outline is longer than a million characters. Load it as a file instead."))
    wkt = "" if not text.strip() else _as_wkt(text.strip())
    read = read_footprint(wkt, "EPSG:4326")
    if read.geometry is None:
        raise ValidationError(f"{_sentence(read.hint)} {_EXPECTED}")
    if read.geometry.geom_type == "LineString":
        raise ValidationError(f"{_('A line has no inside.')} {_EXPECTED}")
    return _geojson(read.geometry)


def _as_wkt(text: str) -> str:
    if not text.startswith("{"):
        return text
    import shapely

    try:
        shapes = [shapely.from_geojson(json.dumps(geometry)) for geometry in _geometries(json.loads(text))]
        parts = [part for shape in shapes for part in shapely.get_parts(shape)]
    except (ValueError, TypeError, RecursionError, shapely.errors.ShapelyError) as error:
        raise ValidationError(f"{_('This is no GeoJSON that can be read.')} {_EXPECTED}") from error
    if not parts or any(part.geom_type != "Polygon" for part in parts):
        raise ValidationError(f"{_('There is something other than polygons in it, or nothing.')} {_EXPECTED}")
    return str(shapely.to_wkt(shapely.MultiPolygon(parts) if len(parts) > 1 else parts[0], rounding_precision=-1))


def _geometries(document: Any) -> Iterator[dict[str, Any]]:
    """The geometries of a geometry, a feature, or a collection of features."""
    kind = document.get("type") if isinstance(document, dict) else None
    if kind == "FeatureCollection":
        for feature in document["features"] if isinstance(document.get("features"), list) else []:
            yield from _geometries(feature)
    elif kind == "Feature":
        yield from _geometries(document.get("geometry"))
    elif isinstance(document, dict):
        yield document


def _geojson(geometry: Any) -> str:
    import shapely

    return json.dumps(json.loads(shapely.to_geojson(geometry)), separators=(",", ":"))


def _sentence(clause: str) -> str:
    return f"{clause[:1].upper()}{clause[1:]}." if clause else str(_("Nothing was pasted."))
