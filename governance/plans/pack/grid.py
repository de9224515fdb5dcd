"""A position as people type it into a device: decimal degrees, degrees with minutes, UTM. WGS84."""

from __future__ import annotations

from functools import lru_cache

from pyproj import Transformer

UTM_SOUTH, UTM_NORTH = -80.0, 84.0
"""Between these latitudes UTM is used; the poles have a grid of their own."""


def decimal_degrees(longitude_deg: float, latitude_deg: float) -> str:
    """Latitude first, as devices ask; five places, about a metre.

    >>> decimal_degrees(-15.3, 61.95)
    '61.95000° N, 15.30000° W'
    """
    return f"{abs(latitude_deg):.5f}° {_ns(latitude_deg)}, {abs(longitude_deg):.5f}° {_ew(longitude_deg)}"


def degrees_minutes(longitude_deg: float, latitude_deg: float) -> str:
    """Degrees and minutes with three places, about two metres.

    >>> degrees_minutes(-0.5, 61.95)
    '61° 57.000′ N, 0° 30.000′ W'
    """
    return f"{_minutes(latitude_deg)} {_ns(latitude_deg)}, {_minutes(longitude_deg)} {_ew(longitude_deg)}"


def _minutes(degrees: float) -> str:
    thousandths = round(abs(degrees) * 60_000)
    whole, rest = divmod(thousandths, 60_000)
    return f"{whole}° {rest / 1000:06.3f}′"


def _ns(latitude_deg: float) -> str:
    return "S" if latitude_deg < 0 else "N"


def _ew(longitude_deg: float) -> str:
    return "W" if longitude_deg < 0 else "E"


def utm(longitude_deg: float, latitude_deg: float) -> tuple[int, bool, int, int] | None:
    """Zone, whether north of the equator, metres east and north; None beyond the latitudes of UTM.

    Zones of six degrees from 180 W on, without the exceptions of Norway and Svalbard: the zone is always written out.
    """
    if not UTM_SOUTH <= latitude_deg <= UTM_NORTH:
        return None
    zone = min(int((longitude_deg + 180) // 6) + 1, 60)
    is_north = latitude_deg >= 0
    east, north = _to_utm(zone, is_north).transform(longitude_deg, latitude_deg)
    return zone, is_north, round(east), round(north)


@lru_cache(maxsize=130)
def _to_utm(zone: int, is_north: bool) -> Transformer:
    return Transformer.from_crs("EPSG:4326", f"EPSG:{(32600 if is_north else 32700) + zone}", always_xy=True)
