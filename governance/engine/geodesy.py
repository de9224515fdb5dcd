"""Points and shapes on the ellipsoid: positions, distances, circles, and whether a point is inside.

Edges are straight in longitude and latitude (RFC 7946, section 3.1.1) and distances geodesic on WGS84.
"""

from __future__ import annotations

from typing import cast

import numpy as np
import numpy.typing as npt
import shapely
from pyproj import Geod
from shapely.geometry.base import BaseGeometry

from governance.engine.tables import BoolColumn, FloatColumn

Vectors = npt.NDArray[np.float64]
"""Earth-centred positions in metres, shape (n, 3)."""

WGS84 = Geod(ellps="WGS84")
"""The ellipsoid of all places; its axes and geodesics are those of PROJ."""
_DISC_VERTICES = 720


def vectors(longitude_deg: FloatColumn, latitude_deg: FloatColumn) -> Vectors:
    """Earth-centred positions on WGS84, shape (n, 3), metres."""
    lon, lat = np.radians(longitude_deg), np.radians(latitude_deg)
    across = WGS84.a / np.sqrt(1 - WGS84.es * np.sin(lat) ** 2)
    return np.column_stack(
        [across * np.cos(lat) * np.cos(lon), across * np.cos(lat) * np.sin(lon), across * (1 - WGS84.es) * np.sin(lat)]
    )


def geodesic_m(lon1: FloatColumn, lat1: FloatColumn, lon2: FloatColumn, lat2: FloatColumn) -> FloatColumn:
    """Geodesic distance in metres of each pair of points in degrees, float64, shape (n,)."""
    return np.asarray(WGS84.inv(lon1, lat1, lon2, lat2)[2], np.float64)


def holds(shape: BaseGeometry, longitude_deg: FloatColumn, latitude_deg: FloatColumn) -> BoolColumn:
    """Points in the closed shape, bool, shape (n,).

    Both spellings of the antimeridian are one point, and every longitude is the pole.
    """
    shapely.prepare(shape)
    inside = shapely.intersects_xy(shape, longitude_deg, latitude_deg)
    on_seam = np.flatnonzero(np.abs(longitude_deg) == 180)
    if len(on_seam):
        inside[on_seam] |= shapely.intersects_xy(shape, -longitude_deg[on_seam], latitude_deg[on_seam])
    for pole in (-90.0, 90.0):
        at_pole = np.flatnonzero(latitude_deg == pole)
        if len(at_pole):
            inside[at_pole] = shapely.intersects(shape, shapely.linestrings([(-180, pole), (180, pole)]))
    return cast(BoolColumn, inside)


def disc_polygon(longitude_deg: float, latitude_deg: float, radius_m: float) -> BaseGeometry | None:
    """A geodesic circle as a polygon (off by less than 0.001 % of its radius), or None where it holds a pole."""
    azimuths = np.linspace(0, 360, _DISC_VERTICES, endpoint=False)
    centre = np.full(_DISC_VERTICES, longitude_deg), np.full(_DISC_VERTICES, latitude_deg)
    lon, lat, _ = WGS84.fwd(*centre, azimuths, np.full(_DISC_VERTICES, radius_m))
    lon = longitude_deg + (np.asarray(lon) - longitude_deg + 180) % 360 - 180
    ring = shapely.polygons(np.column_stack([lon, lat]))
    to_pole = geodesic_m(np.zeros(2), np.array([90.0, -90.0]), np.zeros(2), np.full(2, latitude_deg))
    if to_pole.min() <= radius_m or not shapely.is_valid(ring):
        return None
    return _wrapped(ring)


def _wrapped(ring: BaseGeometry) -> BaseGeometry:
    """Cut at the antimeridian (RFC 7946, section 3.1.9)."""
    parts = []
    for shift in (-360, 0, 360):
        moved = shapely.transform(ring, lambda points, shift=shift: points + np.array([shift, 0]))
        part = moved.intersection(shapely.box(-180, -90, 180, 90))
        if part.area:
            parts.append(part)
    return shapely.union_all(parts)
