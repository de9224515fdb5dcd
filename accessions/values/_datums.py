"""Geodetic datums as collections write them, and the way from each to WGS84.

Names are those of the EPSG registry and of Darwin Core's examples; what is not in the list, or names an ellipsoid or a
projection only, is not understood. Nothing is fetched: shifts use what ships with PROJ, without grids.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pyproj

WGS84 = 4326
_LONGEST_NAME = 4000

_NAMES: dict[int, str] = {
    4326: "WGS84|WGS1984|World Geodetic System 1984|EPSG4326 WGS84|WGS84 EPSG4326|GCS WGS 1984|4326",
    4322: "WGS72|WGS1972|World Geodetic System 1972",
    4267: "NAD27|NAD1927|North American Datum 1927|North American Datum of 1927",
    4269: "NAD83|NAD1983|North American Datum 1983|North American Datum of 1983",
    4230: "ED50|European 1950|European Datum 1950",
    4258: "ETRS89|ETRF89|European Terrestrial Reference System 1989",
    4277: "OSGB36|OSGB1936|Ordnance Survey of Great Britain 1936",
    4221: "Campo Inchauspe",
    4618: "SAD69|SAD1969|South American Datum 1969|South American 1969",
    4248: "PSAD56|Provisional South American Datum 1956|Provisional South American 1956",
    4170: "SIRGAS 1995|SIRGAS95",
    4674: "SIRGAS 2000|SIRGAS2000",
    4225: "Corrego Alegre|Córrego Alegre",
    4218: "Bogota 1975|Bogotá 1975",
    4283: "GDA94|Geocentric Datum of Australia 1994",
    7844: "GDA2020|Geocentric Datum of Australia 2020",
    4202: "AGD66|Australian Geodetic Datum 1966",
    4203: "AGD84|Australian Geodetic Datum 1984",
    4167: "NZGD2000|New Zealand Geodetic Datum 2000",
    4272: "NZGD49|NZGD1949|New Zealand Geodetic Datum 1949",
    4301: "Tokyo|Tokyo Datum",
    4612: "JGD2000",
    4284: "Pulkovo 1942",
    4209: "Arc 1950",
    4210: "Arc 1960",
    4222: "Cape",
    4148: "Hartebeesthoek94",
    4149: "CH1903",
    4314: "DHDN",
    4124: "RT90",
    4619: "SWEREF99",
    4289: "Amersfoort",
    4312: "MGI",
    4265: "Monte Mario",
    4300: "TM75",
    4201: "Adindan",
    4263: "Minna",
    4245: "Kertau 1968",
    4240: "Indian 1975",
    4253: "Luzon 1911",
    4135: "Old Hawaiian",
    4139: "Puerto Rico",
}
_EPSG = re.compile(
    r"(?:EPSG\s*:?\s*|urn:ogc:def:crs:EPSG:[0-9.]*:|https?://www\.opengis\.net/def/crs/EPSG/[0-9.]+/)([0-9]{4,6})",
    re.IGNORECASE,
)


def _key(name: str) -> str:
    return "".join(c for c in name.casefold() if c.isalnum())


_BY_NAME = {_key(name): code for code, names in _NAMES.items() for name in names.split("|")}


def epsg_code(text: str) -> int | None:
    """The code of ``EPSG:4326`` and its like, whatever kind of system it is; None for other text."""
    found = _EPSG.fullmatch(text.strip()) if len(text) < 100 else None
    return int(found[1]) if found else None


def geographic_code(text: str) -> int | None:
    """EPSG code of the geographic system that the text names in degrees from Greenwich; None if not understood.

    >>> geographic_code("WGS 84"), geographic_code("European 1950"), geographic_code("UTM")
    (4326, 4230, None)
    """
    if len(text) > _LONGEST_NAME:
        return None
    code = epsg_code(text)
    if code is not None:
        return code if _is_geographic(code) else None
    if re.match(r"\s*GEOG(CS|CRS)\s*\[", text):
        return _code_of_wkt(text)
    return _BY_NAME.get(_key(text)) if len(text) < 100 else None


def is_projected(code: int) -> bool:
    """Whether the EPSG code is that of a projected system (a grid in metres)."""
    crs = crs_of(code)
    return crs is not None and crs.is_projected


@lru_cache(maxsize=256)
def crs_of(code: int) -> pyproj.CRS | None:
    """The system of an EPSG code, None if there is none."""
    import pyproj
    from pyproj.exceptions import CRSError

    try:
        return pyproj.CRS.from_epsg(code)
    except CRSError:
        return None


def _is_geographic(code: int) -> bool:
    crs = crs_of(code)
    return crs is not None and crs.is_geographic and _in_degrees_from_greenwich(crs)


def _in_degrees_from_greenwich(crs: pyproj.CRS) -> bool:
    meridian = crs.prime_meridian
    return (meridian is None or meridian.longitude == 0) and crs.axis_info[0].unit_name == "degree"


@lru_cache(maxsize=64)
def _code_of_wkt(text: str) -> int | None:
    """EPSG code of a geographic system written as well-known text (a Darwin Core example of footprintSRS)."""
    import pyproj
    from pyproj.exceptions import CRSError

    try:
        code = pyproj.CRS.from_wkt(text).to_epsg(min_confidence=70)
    except CRSError:
        return None
    return code if code is not None and _is_geographic(code) else None


@lru_cache(maxsize=256)
def transformer(source: int, target: int) -> pyproj.Transformer | None:
    """Way between two systems, in longitude, latitude (or easting, northing) order; None if PROJ knows none.

    A ballpark shift, which takes the degrees of one datum for those of another, is no way.
    """
    import pyproj
    from pyproj import network
    from pyproj.exceptions import ProjError

    network.set_network_enabled(active=False)
    try:
        return pyproj.Transformer.from_crs(source, target, always_xy=True, allow_ballpark=False)
    except ProjError:
        return None


def is_used_at(code: int, longitude_deg: float, latitude_deg: float) -> bool:
    """Whether the place lies in the area for which the registry keeps the system, or within a degree of it.

    PROJ also shifts far outside that area, by hundreds of metres in any direction.
    """
    area = _area_of_use(code)
    if area is None:
        return False
    west, south, east, north = area
    if not south - 1 <= latitude_deg <= north + 1:
        return False
    if west > east:
        return longitude_deg >= west - 1 or longitude_deg <= east + 1
    return west - 1 <= longitude_deg <= east + 1


@lru_cache(maxsize=256)
def _area_of_use(code: int) -> tuple[float, float, float, float] | None:
    """West, south, east and north in degrees; west is greater than east across the antimeridian."""
    crs = crs_of(code)
    area = crs.area_of_use if crs is not None else None
    return area.bounds if area is not None else None


def to_wgs84(source: int, longitude_deg: float, latitude_deg: float) -> tuple[float, float] | None:
    """Longitude and latitude on WGS84, of those on the geographic system with the EPSG code ``source``.

    Returns: None where the shift is not known at that place.
    """
    if source == WGS84:
        return longitude_deg, latitude_deg
    way = transformer(source, WGS84)
    if way is None or not is_used_at(source, longitude_deg, latitude_deg):
        return None
    longitude, latitude = way.transform(longitude_deg, latitude_deg)
    if not (math.isfinite(longitude) and math.isfinite(latitude)):
        return None
    return (longitude + 180) % 360 - 180 if abs(longitude) > 180 else longitude, latitude
