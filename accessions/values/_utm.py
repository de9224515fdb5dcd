"""Universal Transverse Mercator: zones, bands, and the way back to degrees."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from accessions.values._datums import WGS84, crs_of
from accessions.values._problems import PositionProblem

if TYPE_CHECKING:
    import pyproj

BANDS = "CDEFGHJKLMNPQRSTUVWX"
_BAND_EDGE_DEGREES = 0.01
_METRES = re.compile(r"[0-9]{1,8}(?:\.[0-9]{1,6})?")
_UTM = re.compile(
    r"(?:UTM\s*)?(?:ZONE\s*)?([0-9]{1,2})\s*([C-HJ-NP-X]|NORTH|SOUTH)?[\s,]+(.*)", re.IGNORECASE | re.DOTALL
)
_WIDE_ZONES: dict[str, dict[int, tuple[float, float] | None]] = {
    "V": {31: (0, 3), 32: (3, 12)},
    "X": {31: (0, 9), 32: None, 33: (9, 21), 34: None, 35: (21, 33), 36: None, 37: (33, 42)},
}


@dataclass(frozen=True, slots=True)
class Square:
    """A square of a grid: its south-west corner and its side, in metres."""

    zone: int
    is_north: bool
    easting_m: float
    northing_m: float
    size_m: int

    def centre(self) -> tuple[float, float]:
        return self.easting_m + self.size_m / 2, self.northing_m + self.size_m / 2


@dataclass(frozen=True, slots=True)
class UtmPoint:
    """precision_m: metres that the last figure written stands for."""

    zone: int
    is_north: bool
    easting_m: float
    northing_m: float
    precision_m: float


def zone_limits(zone: int, band: str) -> tuple[float, float]:
    """Western and eastern limit of a zone in degrees, with the exceptions off Norway and Svalbard."""
    if not 1 <= zone <= 60:
        raise PositionProblem(f"there is no zone {zone}")
    limits = _WIDE_ZONES.get(band, {}).get(zone, (zone * 6 - 186, zone * 6 - 180))
    if limits is None:
        raise PositionProblem(f"there is no zone {zone}{band}")
    return limits


def band_limits(band: str) -> tuple[float, float]:
    """Southern and northern limit of a latitude band in degrees."""
    south = -80 + 8 * BANDS.index(band)
    return south, 84 if band == "X" else south + 8


def utm_to_degrees(
    zone: int, is_north: bool, easting_m: float, northing_m: float, datum: int = WGS84
) -> tuple[float, float]:
    """Longitude and latitude on the datum itself; no shift.

    Args:
        datum: EPSG code of the geographic system.

    Raises:
        PositionProblem: the figures lie outside the projection.
    """
    longitude, latitude = _unprojection(zone, is_north, datum).transform(easting_m, northing_m)
    if not (-180 <= longitude <= 180 and -90 <= latitude <= 90):
        raise PositionProblem("the figures lie outside the grid")
    return longitude, latitude


@lru_cache(maxsize=256)
def _unprojection(zone: int, is_north: bool, datum: int) -> pyproj.Transformer:
    import pyproj

    crs = crs_of(datum)
    if crs is None or crs.ellipsoid is None:
        raise PositionProblem("the datum has no ellipsoid")
    ellipsoid = f"+a={crs.ellipsoid.semi_major_metre!r} +rf={crs.ellipsoid.inverse_flattening!r}"
    south = "" if is_north else "+south "
    return pyproj.Transformer.from_pipeline(
        f"+proj=pipeline +step +inv +proj=utm +zone={zone} {south}{ellipsoid} "
        "+step +proj=unitconvert +xy_in=rad +xy_out=deg"
    )


def read_metres(text: str) -> tuple[float, float, float]:
    """Easting, northing and the metres that the last figure stands for.

    Zeros at the end of both figures are not taken as measured: ``630000 4833400`` is given to 100 m. ``E`` and ``N``
    may stand before or after a figure (``630000mE``) and then set the order. Raises: PositionProblem.
    """
    if len(text) > 80:
        raise PositionProblem("longer than any coordinates")
    parts = re.findall(r"[A-Za-z]+|[^A-Za-z\s,;]+", text)
    letters = [p.upper() for p in parts if p.isalpha() and p.upper() != "M"]
    letters = [p.removeprefix("M") or p for p in letters]
    numbers = [p for p in parts if not p.isalpha()]
    is_pair = len(numbers) == 2 and all(_METRES.fullmatch(n) for n in numbers)
    if not is_pair or letters not in ([], ["E", "N"], ["N", "E"]):
        raise PositionProblem("an easting and a northing in metres are expected")
    figures = dict(zip(letters or ["E", "N"], numbers, strict=True))
    return float(figures["E"]), float(figures["N"]), _last_figure_m(figures["E"], figures["N"])


def _last_figure_m(easting: str, northing: str) -> float:
    decimals = max(len(n.partition(".")[2]) for n in (easting, northing))
    if decimals:
        return 10.0**-decimals
    zeros = min(len(n) - len(n.rstrip("0")) for n in (easting, northing))
    return 10.0 ** min(zeros, 5)


def is_utm(text: str) -> bool:
    found = _UTM.fullmatch(text)
    return found is not None and len(re.findall(r"[0-9]{5,8}", found[3])) == 2


def read_utm(text: str, *, zone_of_system: tuple[int, bool] | None = None) -> UtmPoint:
    """Reads ``17T 630000 4833400``: zone with a latitude band, or with a hemisphere.

    A letter N or S is a band as well as a hemisphere. N is north in both. S is read only where the system named beside
    it says the hemisphere, or where one of the two cannot be.

    Args:
        zone_of_system: zone and hemisphere (true is north) that the system named beside it says.

    Raises: PositionProblem.
    """
    found = _UTM.fullmatch(text)
    if not found:
        raise PositionProblem("a zone, an easting and a northing are expected, such as 17T 630000 4833400")
    easting, northing, precision_m = read_metres(found[3])
    zone, letter = int(found[1]), (found[2] or "").upper()
    zone_limits(zone, letter)
    if not (100_000 <= easting <= 900_000 and northing <= 10_000_000):
        raise PositionProblem("the figures lie outside the zone")
    is_north = _hemisphere(zone, letter, easting, northing, zone_of_system)
    return UtmPoint(zone, is_north, easting, northing, precision_m)


def _hemisphere(zone: int, letter: str, easting: float, northing: float, system: tuple[int, bool] | None) -> bool:
    if system is not None and system[0] != zone:
        raise PositionProblem(f"zone {zone} contradicts the system beside it, which is of zone {system[0]}")
    if letter in ("NORTH", "SOUTH", "N"):
        is_north = letter != "SOUTH"
    elif letter == "S":
        is_north = _hemisphere_of_s(zone, easting, northing, system)
    elif letter:
        is_north = letter > "N"
        if not _in_band(zone, letter, easting, northing):
            raise PositionProblem(f"the northing does not lie in band {letter}")
    elif system is not None:
        is_north = system[1]
    else:
        raise PositionProblem("the zone has no band and no hemisphere")
    if system is not None and system[1] != is_north:
        raise PositionProblem("the hemisphere contradicts the system beside it")
    return is_north


def _hemisphere_of_s(zone: int, easting: float, northing: float, system: tuple[int, bool] | None) -> bool:
    if system is not None:
        return system[1]
    if _in_band(zone, "S", easting, northing):
        raise PositionProblem("S may be a band of the north or the southern hemisphere")
    return False


def _in_band(zone: int, band: str, easting: float, northing: float) -> bool:
    south, north = band_limits(band)
    _, latitude = utm_to_degrees(zone, band >= "N", easting, northing)
    return south - _BAND_EDGE_DEGREES <= latitude <= north + _BAND_EDGE_DEGREES
