"""Where a stop is, as cells of the exchange file: its own place, or the registered site as its boundaries have it."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence

import numpy as np
from shapely.errors import GEOSException
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from accessions.sites.models import SiteBoundary
from governance.plans.models import Stop

Cells = dict[str, str]


def place_cells(
    stop: Stop, boundaries: Sequence[SiteBoundary], site_names: dict[int, str]
) -> tuple[tuple[str, str], ...]:
    """The place of a stop: its own, else the boundary of its site, in pairs of Darwin Core term and text.

    Args:
        boundaries: of the site, that hold on some day of the stop.
        site_names: by key the name of each site that no other site bears.
    """
    site = stop.site
    cells = {"countryCode": stop.country or (site.country if site else "")}
    if site is not None:
        cells |= {"locationID": site.code, "siteName": site_names.get(site.pk, "")}
    if stop.area or stop.longitude_deg is not None:
        cells |= _shape(stop.area, stop.longitude_deg, stop.latitude_deg, stop.radius_m)
    else:
        cells |= _of_boundaries(boundaries)
    return tuple(cells.items())


def _of_boundaries(boundaries: Sequence[SiteBoundary]) -> Cells:
    """The whole ground of all boundaries, each as far as it may reach; nothing where that cannot be drawn.

    Without a shape the place is the site by its name alone, which covers less: never is a part taken for the whole.
    """
    if not boundaries:
        return {}
    if len(boundaries) == 1 and not boundaries[0].polygon:
        (one,) = boundaries
        reach_m = (one.radius_m or 0.0) + (one.error_m or 0.0)
        return _shape("", one.longitude_deg, one.latitude_deg, reach_m) if one.radius_m else {}
    try:
        shapes = [_grown(shape(json.loads(one.polygon)), one.error_m or 0.0) for one in boundaries if one.polygon]
        whole = unary_union([grown for grown in shapes if grown is not None])
    except GEOSException:
        return {}
    return {**_DATUM, "footprintWKT": whole.wkt} if len(shapes) == len(boundaries) and None not in shapes else {}


_DATUM = {"geodeticDatum": "EPSG:4326", "footprintSRS": "EPSG:4326"}
_METRES_A_DEGREE = 110_000.0
"""Less than a degree of latitude anywhere, so that what is reckoned with it is rather too large."""
_HIGHEST_DEG = 80.0


def _grown(ground: BaseGeometry, error_m: float) -> BaseGeometry | None:
    """The ground with all that lies within the error of its line; None where degrees are no measure for that."""
    if not error_m or ground.is_empty:
        return ground
    _, south, _, north = ground.bounds
    highest = max(abs(south), abs(north)) + error_m / _METRES_A_DEGREE
    if highest > _HIGHEST_DEG:
        return None
    grown = ground.buffer(1.01 * error_m / _METRES_A_DEGREE / math.cos(math.radians(highest)))
    west, _, east, _ = grown.bounds
    return grown if west >= -180 and east <= 180 else None


def _shape(polygon: str, longitude_deg: float | None, latitude_deg: float | None, radius_m: float | None) -> Cells:
    cells = dict(_DATUM)
    if polygon:
        cells["footprintWKT"] = shape(json.loads(polygon)).wkt
    if longitude_deg is not None and latitude_deg is not None:
        cells |= {"decimalLongitude": _decimal(longitude_deg), "decimalLatitude": _decimal(latitude_deg)}
        cells["coordinateUncertaintyInMeters"] = "" if radius_m is None else _decimal(radius_m)
    return cells


def _decimal(number: float) -> str:
    """As people write it, never with an exponent."""
    return np.format_float_positional(number, trim="0")
