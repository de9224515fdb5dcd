"""Where something was taken: a point on WGS84 from the coordinate columns, its precision, and a footprint.

Coordinates that cannot be are refused, never clamped or put right. Sources: VERDICTS, section 4; Darwin Core terms of
the class Location; TDWG BDQ test data; Georeferencing Best Practices (2020), table of metric uncertainty.
"""

import math
import re
from dataclasses import dataclass

from accessions.values._datums import geographic_code, to_wgs84
from accessions.values._problems import PositionProblem
from accessions.values._verbatim import Reading, read_verbatim
from accessions.values.blanks import filled
from accessions.values.footprints import FootprintRead, read_footprint

__all__ = ["FootprintRead", "PositionRead", "precision_radius_m", "read_footprint", "read_position", "read_radius_m"]

LARGEST_RADIUS_M = 20_037_509
"""Half the equator, the largest radius that means anything. Source: TDWG BDQ test data, dataIDs 888 to 893."""

_SEMI_MAJOR_M = 6_378_137.0
_FLATTENING = 1 / 298.257223563
_DECIMAL = re.compile(r"[+-]?(?:[0-9]{1,3}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})")
_PLAIN = re.compile(r"\+?(?:[0-9]{1,12}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})")
_SMALL = re.compile(r"\+?(?:[0-9]{1,12}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})(?:[eE][+-]?[0-9]{1,2})?")
_LONGEST_NUMBER = 40


@dataclass(frozen=True, slots=True)
class PositionRead:
    """A position as read.

    position: "none" (blank, or 0,0), "invalid" or "point". latitude_deg, longitude_deg: WGS84, NaN unless a point.
    precision_radius_m: radius that the written precision implies, 0 where nothing is written.
    datum_known: the datum was stated, understood, and its shift to WGS84 applied.
    hint: one clause, "" if there is nothing to say.
    """

    position: str
    latitude_deg: float
    longitude_deg: float
    precision_radius_m: float
    datum_known: bool
    hint: str = ""


def read_position(
    *,
    decimal_latitude: str = "",
    decimal_longitude: str = "",
    datum: str = "",
    coordinate_precision: str = "",
    verbatim_coordinates: str = "",
    verbatim_latitude: str = "",
    verbatim_longitude: str = "",
    verbatim_system: str = "",
    verbatim_srs: str = "",
) -> PositionRead:
    """The point of a row. The decimal columns count; only where both are blank are the verbatim ones read.

    geodeticDatum (``datum``) is that of the decimal columns, verbatimSRS that of the verbatim ones; neither stands in
    for the other. The radius covers a full cell of the written precision, of the coarser axis; a larger
    coordinatePrecision wins.

    >>> read_position(decimal_latitude="9.93", decimal_longitude="-84.08", datum="WGS84").position
    'point'
    >>> read_position(decimal_latitude="41.0554 N", decimal_longitude="-84.08").position
    'invalid'
    >>> read_position().position
    'none'
    """
    latitude, longitude = filled(decimal_latitude), filled(decimal_longitude)
    try:
        if latitude or longitude:
            reading: Reading | None = _read_decimal(latitude, longitude, filled(datum))
        else:
            verbatim = filled(verbatim_coordinates), filled(verbatim_latitude), filled(verbatim_longitude)
            reading = read_verbatim(*verbatim, filled(verbatim_system), filled(verbatim_srs))
    except PositionProblem as problem:
        return PositionRead("invalid", math.nan, math.nan, 0.0, False, str(problem))
    if reading is None:
        return PositionRead("none", math.nan, math.nan, 0.0, False)
    if reading.latitude_deg == 0 and reading.longitude_deg == 0:
        return PositionRead("none", math.nan, math.nan, 0.0, False, "0,0 stands for coordinates that are missing")
    return _placed(reading, _stated_precision(filled(coordinate_precision)))


def read_radius_m(text: str) -> float:
    """coordinateUncertaintyInMeters, NaN where unknown: blank, zero, negative, unreadable, beyond half the equator.

    >>> read_radius_m("30"), read_radius_m("1,5")
    (30.0, nan)
    """
    number = _number(filled(text), _SMALL)
    return number if 0 < number <= LARGEST_RADIUS_M else math.nan


def precision_radius_m(precision_deg: float, latitude_deg: float) -> float:
    """Radius in metres that a full cell of the precision implies at a latitude, on WGS84.

    Source: Georeferencing Best Practices (2020, v1.1.1), uncertainty due to coordinate precision.
    """
    squared_eccentricity = _FLATTENING * (2 - _FLATTENING)
    phi = math.radians(latitude_deg)
    w = math.sqrt(1 - squared_eccentricity * math.sin(phi) ** 2)
    north_m = math.radians(precision_deg) * _SEMI_MAJOR_M * (1 - squared_eccentricity) / w**3
    east_m = math.radians(precision_deg) * _SEMI_MAJOR_M * math.cos(phi) / w
    return math.hypot(north_m, east_m)


def _number(text: str, form: re.Pattern[str]) -> float:
    return float(text) if len(text) <= _LONGEST_NUMBER and form.fullmatch(text) else math.nan


def _read_decimal(latitude: str, longitude: str, datum: str) -> Reading:
    if not latitude or not longitude:
        raise PositionProblem(f"{'decimalLatitude' if not latitude else 'decimalLongitude'} is blank")
    code = geographic_code(datum)
    return Reading(
        _in_range(latitude, 90, "decimalLatitude"),
        _in_range(longitude, 180, "decimalLongitude"),
        precision_deg=max(_written_precision(latitude), _written_precision(longitude)),
        source=code,
    )


def _in_range(text: str, limit: int, column: str) -> float:
    degrees = _number(text, _DECIMAL)
    if math.isnan(degrees):
        raise PositionProblem(f'{column} "{text[:30]}" is no decimal number such as -41.0983')
    if abs(degrees) > limit:
        raise PositionProblem(f"{column} {text} is beyond {limit} degrees")
    return degrees


def _written_precision(text: str) -> float:
    return float(10.0 ** -len(text.partition(".")[2]))


def _stated_precision(text: str) -> float:
    """coordinatePrecision in degrees, 0 where blank or no number."""
    number = _number(text, _SMALL)
    return 0.0 if math.isnan(number) else number


def _placed(reading: Reading, stated_deg: float) -> PositionRead:
    """The point on WGS84. An unknown datum leaves the figures as they are."""
    latitude, longitude, known, hint = reading.latitude_deg, reading.longitude_deg, False, reading.hint
    if reading.source is not None:
        shifted = to_wgs84(reading.source, longitude, latitude)
        if shifted is None:
            hint = f"the shift from EPSG:{reading.source} to WGS84 is not known at this place"
        else:
            (longitude, latitude), known = shifted, True
    radius_m = max(reading.precision_m, precision_radius_m(max(reading.precision_deg, stated_deg), latitude))
    return PositionRead("point", latitude, longitude, min(radius_m, float(LARGEST_RADIUS_M)), known, hint)
