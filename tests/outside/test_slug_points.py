"""UTM coordinates of real sightings: the GeoPackage of elapid (Ariolimax in California, UTM zone 10N, EPSG:32610).

The points are read with sqlite3 and the layout of the standard (OGC 12-128r19, section 2.1.3). What they are in
degrees comes from a series of our own choosing that PROJ does not use here: Redfearn's, as in standard handbooks of
surveying (from memory), good to a millimetre within a zone; and from PROJ by the code that the file states.
"""

from __future__ import annotations

import math
import sqlite3
import struct
from pathlib import Path

import pyproj
import pytest
from geographiclib.geodesic import Geodesic

from accessions.values import read_position

pytestmark = pytest.mark.network

TABLE = "ariolimax-buttoni-sample"


def _xy(blob: bytes) -> tuple[float, float]:
    """Easting and northing of a point: header of 8 bytes, envelope by the flags, then well-known binary."""
    envelope = (0, 32, 48, 48, 64)[blob[3] >> 1 & 7]
    x, y = struct.unpack_from("<dd", blob, 8 + envelope + 5)
    return x, y


@pytest.fixture(scope="module")
def points(slugs_geopackage: Path) -> list[tuple[float, float]]:
    connection = sqlite3.connect(slugs_geopackage)
    try:
        systems = connection.execute("SELECT srs_id FROM gpkg_geometry_columns WHERE table_name = ?", (TABLE,))
        assert systems.fetchall() == [(32610,)]
        found = [_xy(blob) for (blob,) in connection.execute(f'SELECT geom FROM "{TABLE}"')]
    finally:
        connection.close()
    assert len(found) > 1000
    return found


def _degrees(easting: float, northing: float, central_deg: float) -> tuple[float, float]:
    """Latitude and longitude on WGS84 by the footpoint latitude and its series (northern hemisphere)."""
    a, f, scale = 6_378_137.0, 1 / 298.257223563, 0.9996
    e2 = f * (2 - f)
    ep2 = e2 / (1 - e2)
    arc = northing / scale
    mu = arc / (a * (1 - e2 / 4 - 3 * e2**2 / 64 - 5 * e2**3 / 256))
    e1 = (1 - math.sqrt(1 - e2)) / (1 + math.sqrt(1 - e2))
    foot = (
        mu
        + (3 * e1 / 2 - 27 * e1**3 / 32) * math.sin(2 * mu)
        + (21 * e1**2 / 16 - 55 * e1**4 / 32) * math.sin(4 * mu)
        + (151 * e1**3 / 96) * math.sin(6 * mu)
        + (1097 * e1**4 / 512) * math.sin(8 * mu)
    )
    c, t = ep2 * math.cos(foot) ** 2, math.tan(foot) ** 2
    n = a / math.sqrt(1 - e2 * math.sin(foot) ** 2)
    r = a * (1 - e2) / (1 - e2 * math.sin(foot) ** 2) ** 1.5
    d = (easting - 500_000) / (n * scale)
    latitude = foot - (n * math.tan(foot) / r) * (
        d**2 / 2
        - (5 + 3 * t + 10 * c - 4 * c**2 - 9 * ep2) * d**4 / 24
        + (61 + 90 * t + 298 * c + 45 * t**2 - 252 * ep2 - 3 * c**2) * d**6 / 720
    )
    longitude = (
        d - (1 + 2 * t + c) * d**3 / 6 + (5 - 2 * c + 28 * t - 3 * c**2 + 8 * ep2 + 24 * t**2) * d**5 / 120
    ) / math.cos(foot)
    return math.degrees(latitude), central_deg + math.degrees(longitude)


def _read(text: str, srs: str = "EPSG:4326") -> tuple[float, float, bool]:
    read = read_position(verbatim_coordinates=text, verbatim_system="UTM", verbatim_srs=srs)
    assert read.position == "point", f"{text}: {read.hint}"
    return read.latitude_deg, read.longitude_deg, read.datum_known


def _apart_m(one: tuple[float, float], other: tuple[float, float]) -> float:
    return float(Geodesic.WGS84.Inverse(*one, *other)["s12"])


def test_points_within_the_zone_by_the_series(points: list[tuple[float, float]]) -> None:
    """Within 3 degrees of the central meridian; northing a multiple of metres, as the file has them."""
    tested = 0
    for easting, northing in points[::7]:
        expected = _degrees(easting, northing, -123.0)
        if abs(expected[1] + 123) <= 3:
            latitude, longitude, known = _read(f"10N {easting:.0f} {northing:.0f}")
            rounding_m = math.hypot(easting - round(easting), northing - round(northing))
            assert _apart_m((latitude, longitude), expected) <= rounding_m + 0.01, (easting, northing)
            assert known
            tested += 1
    assert tested > 100


def test_points_far_from_the_zone_are_those_of_the_code(points: list[tuple[float, float]]) -> None:
    """The file goes to easting 1,301,500, some nine degrees from the meridian: read, or refused with a reason."""
    transform = pyproj.Transformer.from_crs(32610, 4326, always_xy=True)
    far = [point for point in points if point[0] > 834_000]
    assert far
    for easting, northing in far[::5]:
        read = read_position(
            verbatim_coordinates=f"10N {easting:.0f} {northing:.0f}", verbatim_system="UTM", verbatim_srs="EPSG:4326"
        )
        if read.position == "point":
            longitude, latitude = transform.transform(round(easting), round(northing))
            assert _apart_m((read.latitude_deg, read.longitude_deg), (latitude, longitude)) < 0.01
        else:
            assert read.position == "invalid"
            assert read.hint
