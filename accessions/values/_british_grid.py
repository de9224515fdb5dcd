"""References of the British National Grid: ``TG 51409 13177``.

Source: Ordnance Survey, A guide to coordinate systems in Great Britain: squares of 500 km lettered from V (south-west)
to E, each cut into 25 squares of 100 km, letters A to Z without I; the false origin is the corner of square SV.
"""

import re

from accessions.values._problems import PositionProblem

BRITISH_GRID = 27700
"""EPSG code of OSGB36 / British National Grid."""

_LETTERS = "ABCDEFGHJKLMNOPQRSTUVWXYZ"
_REFERENCE = re.compile(r"([HJNOST])([A-HJ-Z])\s*([0-9]{1,5}\s+[0-9]{1,5}|[0-9]{2,10})")


def is_british(text: str) -> bool:
    return _REFERENCE.fullmatch(text.upper()) is not None


def read_british(text: str) -> tuple[float, float, int]:
    """Easting and northing of the south-west corner of the square, and its side, all in metres.

    Raises: PositionProblem.
    """
    found = _REFERENCE.fullmatch(text.upper())
    if not found:
        raise PositionProblem("not a grid reference such as TG 51409 13177")
    figures = found[3].split()
    if len(figures) == 1:
        figures = [found[3][: len(found[3]) // 2], found[3][len(found[3]) // 2 :]]
    if len(figures[0]) != len(figures[1]):
        raise PositionProblem("easting and northing of a grid reference have equally many digits")
    size_m = 10 ** (5 - len(figures[0]))
    east_100km, north_100km = _corner(found[1], found[2])
    return east_100km * 1e5 + int(figures[0]) * size_m, north_100km * 1e5 + int(figures[1]) * size_m, size_m


def _corner(first: str, second: str) -> tuple[int, int]:
    """Of a square of 100 km, in units of 100 km from the false origin."""
    big, small = _LETTERS.index(first), _LETTERS.index(second)
    # S is the 500 km square at the origin: column 2, row 1 from the south of the big square
    east = (big % 5 - 2) * 5 + small % 5
    north = (3 - big // 5) * 5 + 4 - small // 5
    return east, north
