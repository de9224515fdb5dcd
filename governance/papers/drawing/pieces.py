"""What a map shows: areas of papers and sites, and points with how well they are known."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

import numpy as np
import shapely
from pyproj import Geod
from shapely.geometry.base import BaseGeometry

_GEOD = Geod(ellps="WGS84")
_CIRCLE_CORNERS = 72
_M_PER_DEGREE = 111_320.0


class AreaKind(StrEnum):
    """How an area is drawn: the values are the classes of the stylesheet."""

    PERMITTED = "permit"
    EXCLUDED = "excl"
    SITE = "prot"
    FOOTPRINT = "foot"


@dataclass(frozen=True)
class Area:
    """An area in longitude and latitude; no edge spans over 180 degrees (RFC 7946: cut at the 180th meridian).

    frames: whether the map must hold all of it. A country need not, where something nearer is on the map.
    """

    kind: AreaKind
    shape: BaseGeometry
    label: str = ""
    frames: bool = True

    @classmethod
    def disc(cls, kind: AreaKind, longitude_deg: float, latitude_deg: float, radius_m: float, label: str = "") -> Area:
        """The area of a point and a radius; a radius of 0 is drawn as one metre."""
        return cls(kind, disc(longitude_deg, latitude_deg, max(radius_m, 1.0)), label)


@dataclass(frozen=True)
class MapPoint:
    """One place at which ``count`` specimens were taken.

    radius_m: how well it is known, None where that is not recorded. data_v: the verdict, as ``Cell.data_v``; "" for a
    place without one. word: the verdict in words. href: where a click leads.
    """

    longitude_deg: float
    latitude_deg: float
    radius_m: float | None = None
    data_v: str = ""
    word: str = ""
    label: str = ""
    count: int = 1
    href: str = ""

    @cached_property
    def reach_deg(self) -> tuple[float, float]:
        """The radius in degrees of longitude and of latitude."""
        latitude_reach = (self.radius_m or 0.0) / _M_PER_DEGREE
        if abs(self.latitude_deg) + latitude_reach >= 90:
            return 180.0, latitude_reach
        return latitude_reach / math.cos(math.radians(self.latitude_deg)), latitude_reach


def disc(longitude_deg: float, latitude_deg: float, radius_m: float) -> BaseGeometry:
    """A geodesic circle; its longitudes may run past 180, and one that holds a pole is drawn as a cap."""
    reach_deg = radius_m / _M_PER_DEGREE
    if abs(latitude_deg) + reach_deg >= 90:
        return shapely.box(-180, latitude_deg - reach_deg, 180, 90) if latitude_deg > 0 else shapely.box(
            -180, -90, 180, latitude_deg + reach_deg
        )  # fmt: skip
    bearings = np.linspace(0, 360, _CIRCLE_CORNERS, endpoint=False)
    many = np.ones(_CIRCLE_CORNERS)
    longitudes, latitudes, _ = _GEOD.fwd(many * longitude_deg, many * latitude_deg, bearings, many * radius_m)
    unwrapped = longitude_deg + (np.asarray(longitudes) - longitude_deg + 180) % 360 - 180
    return shapely.Polygon(np.column_stack([unwrapped, latitudes]))
