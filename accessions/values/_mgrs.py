"""Military grid references (MGRS) on the WGS84 ellipsoid: ``31U DQ 48251 11932``.

Source: the published lettering rules of the military grid (100 km squares in six sets, bands of 8 degrees lettered C to
X without I and O, wider zones off Norway and Svalbard), from memory; checked in the tests against published points.
"""

import re

from accessions.values._problems import PositionProblem
from accessions.values._utm import BANDS, Square, band_limits, utm_to_degrees, zone_limits

_REFERENCE = re.compile(
    r"([0-9]{1,2})([C-HJ-NP-X])\s*([A-HJ-NP-Z])([A-HJ-NP-V])\s*([0-9]{1,5}\s+[0-9]{1,5}|[0-9]{2,10})"
)
_COLUMNS = ("STUVWXYZ", "ABCDEFGH", "JKLMNPQR")
_ROWS = "ABCDEFGHJKLMNPQRSTUV"
_ROW_CYCLE_M = 2_000_000


def is_mgrs(text: str) -> bool:
    return _REFERENCE.fullmatch(text.upper()) is not None


def read_mgrs(text: str) -> Square:
    """The square that a reference names, in its UTM zone. Raises: PositionProblem."""
    found = _REFERENCE.fullmatch(text.upper())
    if not found:
        raise PositionProblem("not a grid reference such as 31U DQ 48251 11932")
    zone, band = int(found[1]), found[2]
    west, east = zone_limits(zone, band)
    easting, northing, size_m = _digits(found[5])
    column = _COLUMNS[zone % 3].find(found[3])
    if column < 0:
        raise PositionProblem(f"zone {zone} has no column {found[3]}")
    easting += (column + 1) * 100_000
    northing += _row_northing(zone, found[4])
    square = _in_band(zone, band, easting, northing, size_m)
    longitude, _ = utm_to_degrees(zone, band >= "N", *square.centre())
    margin = size_m / 50_000  # degrees of longitude that a square cut by the edge of its zone may reach over it
    if not west - margin <= longitude <= east + margin:
        raise PositionProblem(f"the square lies outside zone {zone}{band}")
    return square


def _digits(text: str) -> tuple[float, float, int]:
    """Easting and northing inside the 100 km square, and the size of the square that the digits leave, in metres."""
    parts = text.split()
    if len(parts) == 1:
        parts = [text[: len(text) // 2], text[len(text) // 2 :]]
    if len(parts[0]) != len(parts[1]):
        raise PositionProblem("easting and northing of a grid reference have equally many digits")
    size_m = 10 ** (5 - len(parts[0]))
    return float(int(parts[0]) * size_m), float(int(parts[1]) * size_m), size_m


def _row_northing(zone: int, row: str) -> int:
    shift = 5 if zone % 2 == 0 else 0
    return (_ROWS.index(row) - shift) % 20 * 100_000


def _in_band(zone: int, band: str, easting: float, northing: float, size_m: int) -> Square:
    """Rows repeat every 2000 km; the band says which is meant."""
    south, north = band_limits(band)
    margin = size_m / 100_000  # degrees of latitude
    for cycle in range(5):
        square = Square(zone, band >= "N", easting, northing + cycle * _ROW_CYCLE_M, size_m)
        _, latitude = utm_to_degrees(zone, band >= "N", *square.centre())
        if south - margin <= latitude <= north + margin:
            return square
    raise PositionProblem(f"the square does not lie in band {band} ({BANDS})")
