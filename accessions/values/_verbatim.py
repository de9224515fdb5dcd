"""The verbatim coordinate columns: angles, UTM, military and national grids."""

import math
import re
from dataclasses import dataclass

from accessions.values._angles import DECIMAL, LONGEST_COORDINATES, MINUTES, SECONDS, Angle, read_angle, read_pair
from accessions.values._british_grid import BRITISH_GRID, is_british, read_british
from accessions.values._datums import WGS84, crs_of, epsg_code, geographic_code, is_projected, is_used_at, transformer
from accessions.values._mgrs import is_mgrs, read_mgrs
from accessions.values._problems import PositionProblem
from accessions.values._utm import is_utm, read_metres, read_utm, utm_to_degrees

_SQRT2 = math.sqrt(2)
_MGA = re.compile(r"MGA(?:94)?\s*(?:zone)?\s*(4[6-9]|5[0-9])[\s,]+(.*)", re.IGNORECASE | re.DOTALL)
_MGA_BASE = 28300
_MILITARY_DATUMS = frozenset({None, WGS84, 4269, 4258, 4283, 7844, 4167})
_GRID_SYSTEMS = {
    "utm": "utm", "universaltransversemercator": "utm", "mgrs": "mgrs", "militarygridreferencesystem": "mgrs",
    "britishnationalgrid": "british", "osgb": "british", "osgrid": "british", "nationalgrid": "british",
}  # fmt: skip
_ANGLE_SYSTEMS = {
    "decimaldegrees": {DECIMAL}, "dd": {DECIMAL}, "degreesdecimalminutes": {MINUTES},
    "degreesminutesseconds": {SECONDS, MINUTES}, "dms": {SECONDS, MINUTES},
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reading:
    """Coordinates as read, before any shift to WGS84.

    precision_deg or precision_m: what the last figure stands for in degrees, or a radius in metres; 0 if the other is
    given. source: EPSG code of the geographic system of latitude and longitude, None where not stated or understood.
    """

    latitude_deg: float
    longitude_deg: float
    precision_deg: float = 0.0
    precision_m: float = 0.0
    source: int | None = None
    hint: str = ""


def read_verbatim(coordinates: str, latitude: str, longitude: str, system: str, srs: str) -> Reading | None:
    """Reads trimmed cells. Returns: None where all are blank. Raises: PositionProblem."""
    if max(len(coordinates), len(latitude), len(longitude)) > LONGEST_COORDINATES:
        raise PositionProblem("longer than any coordinates")
    grid = _grid_of(system, srs)
    pair = _read_columns(latitude, longitude, system, srs, grid) if latitude or longitude else None
    if not coordinates:
        return pair
    whole = _read_coordinates(coordinates, system, srs, grid)
    if pair is not None and not _agree(whole, pair):
        raise PositionProblem("verbatimCoordinates and verbatimLatitude, verbatimLongitude name different places")
    return whole


def _agree(one: Reading, other: Reading) -> bool:
    """Whether two readings lie within their written precision, or 1 km where it is given in metres."""
    tolerance = max(one.precision_deg, other.precision_deg, 0.01 if one.precision_m or other.precision_m else 0.0)
    return (
        abs(one.latitude_deg - other.latitude_deg) <= tolerance
        and abs(one.longitude_deg - other.longitude_deg) * math.cos(math.radians(one.latitude_deg)) <= tolerance
    )


def _grid_of(system: str, srs: str) -> int | None:
    """EPSG code of the projected system that one of the two columns names."""
    codes = {code for text in (srs, system) if (code := epsg_code(text)) is not None and is_projected(code)}
    if len(codes) > 1:
        raise PositionProblem("verbatimSRS and verbatimCoordinateSystem name two grids")
    return codes.pop() if codes else None


def _system_key(system: str) -> str:
    return "".join(c for c in system[:60].casefold() if c.isalnum())


def _read_columns(latitude: str, longitude: str, system: str, srs: str, grid: int | None) -> Reading:
    if not latitude or not longitude:
        raise PositionProblem(f"{'verbatimLatitude' if not latitude else 'verbatimLongitude'} is blank")
    if grid is not None and _system_key(system) not in _ANGLE_SYSTEMS:
        return _from_grid(f"{longitude} {latitude}", grid)
    return _from_angles(read_angle(latitude, "lat"), read_angle(longitude, "lon"), system, srs)


def _read_coordinates(text: str, system: str, srs: str, grid: int | None) -> Reading:
    kind = _kind(text)
    said = _GRID_SYSTEMS.get(_system_key(system), "angles" if _system_key(system) in _ANGLE_SYSTEMS else "")
    if said and kind and said != kind and not (said == "utm" and kind == "mga"):
        raise PositionProblem(f'the coordinates contradict the coordinate system "{system[:40]}"')
    if kind == "mgrs":
        return _from_military(text, srs)
    if kind == "british":
        return _from_british(text, srs)
    if kind == "mga":
        return _from_australian(text, grid)
    if kind == "utm":
        return _from_utm(text, srs, grid)
    if grid is not None and said != "angles":
        return _from_grid(text, grid)
    if said in ("utm", "mgrs", "british"):
        raise PositionProblem(f'the coordinates contradict the coordinate system "{system[:40]}"')
    return _from_angles(*read_pair(text), system, srs)


def _kind(text: str) -> str:
    """What kind of grid the text itself shows, "" for angles and bare figures."""
    for kind, shows in (("mgrs", is_mgrs), ("british", is_british), ("mga", _MGA.fullmatch), ("utm", is_utm)):
        if shows(text):
            return kind
    return ""


def _from_angles(latitude: Angle, longitude: Angle, system: str, srs: str) -> Reading:
    forms = _ANGLE_SYSTEMS.get(_system_key(system))
    if _system_key(system) in _GRID_SYSTEMS or (forms and not {latitude.form, longitude.form} <= forms):
        raise PositionProblem(f'the coordinates contradict the coordinate system "{system[:40]}"')
    precision_deg = max(latitude.precision_degrees, longitude.precision_degrees)
    return Reading(latitude.degrees, longitude.degrees, precision_deg=precision_deg, source=geographic_code(srs))


def _from_military(text: str, srs: str) -> Reading:
    datum = geographic_code(srs)
    if datum not in _MILITARY_DATUMS:
        raise PositionProblem("military grid letters of an older datum are not read")
    square = read_mgrs(text)
    longitude, latitude = utm_to_degrees(square.zone, square.is_north, *square.centre(), datum or WGS84)
    return Reading(latitude, longitude, precision_m=square.size_m / _SQRT2, source=datum)


def _from_british(text: str, srs: str) -> Reading:
    if srs and epsg_code(srs) != BRITISH_GRID and geographic_code(srs) != 4277:
        raise PositionProblem("British grid letters are on OSGB36; verbatimSRS names another system")
    easting, northing, size_m = read_british(text)
    return _unprojected(BRITISH_GRID, easting + size_m / 2, northing + size_m / 2, size_m / _SQRT2)


def _from_australian(text: str, grid: int | None) -> Reading:
    found = _MGA.fullmatch(text)
    assert found is not None  # _kind has seen it
    code = _MGA_BASE + int(found[1])
    if grid is not None and grid not in (code, 7800 + int(found[1])):
        raise PositionProblem("the zone contradicts the system beside it")
    return _from_grid(found[2], grid or code)


def _from_utm(text: str, srs: str, grid: int | None) -> Reading:
    zone_of_grid = None
    if grid is not None:
        zone_of_grid = _utm_zone(grid)
        if zone_of_grid is None:
            raise PositionProblem(f"EPSG:{grid} is no UTM grid")
    datum = _datum_of_grid(grid) if grid is not None else geographic_code(srs)
    point = read_utm(text, zone_of_system=zone_of_grid)
    longitude, latitude = utm_to_degrees(point.zone, point.is_north, point.easting_m, point.northing_m, datum or WGS84)
    return Reading(latitude, longitude, precision_m=point.precision_m * _SQRT2, source=datum)


def _utm_zone(grid: int) -> tuple[int, bool] | None:
    crs = crs_of(grid)
    found = re.fullmatch(r"([0-9]{1,2})([NS])", (crs.utm_zone or "") if crs else "")
    return (int(found[1]), found[2] == "N") if found else None


def _datum_of_grid(grid: int) -> int | None:
    crs = crs_of(grid)
    base = crs.geodetic_crs if crs else None
    code = base.to_epsg() if base else None
    return geographic_code(f"EPSG:{code}") if code else None


def _from_grid(text: str, grid: int) -> Reading:
    """Figures in metres in a national grid that an EPSG code names."""
    easting, northing, precision_m = read_metres(text)
    has_letters = any(c.isalpha() and c not in "mM" for c in text)
    ways = [(easting, northing)] if has_letters else [(easting, northing), (northing, easting)]
    fitting = [way for way in ways if _is_in_use(grid, *way)]
    crs = crs_of(grid)
    if len(fitting) == 2 and crs and crs.axis_info[0].direction == "east":
        fitting = fitting[:1]  # both would fit; the grid's own order is easting, northing
    elif fitting[:1] != ways[:1] and crs and crs.axis_info[0].direction == "east":
        fitting = []
    if len(fitting) != 1:
        raise PositionProblem(f"no one place in the area of EPSG:{grid} has these figures")
    return _unprojected(grid, *fitting[0], precision_m * _SQRT2)


def _is_in_use(grid: int, easting: float, northing: float) -> bool:
    try:
        reading = _unprojected(grid, easting, northing, 0.0)
    except PositionProblem:
        return False
    return is_used_at(grid, reading.longitude_deg, reading.latitude_deg)


def _unprojected(grid: int, easting: float, northing: float, radius_m: float) -> Reading:
    """Degrees on the grid's own datum; the shift to WGS84 comes later, with that of all others."""
    datum = _datum_of_grid(grid)
    way = transformer(grid, datum) if datum is not None else None
    if way is None:
        raise PositionProblem(f"the grid EPSG:{grid} cannot be turned into degrees")
    longitude, latitude = way.transform(easting, northing)
    if not (math.isfinite(longitude) and math.isfinite(latitude)):
        raise PositionProblem(f"the figures lie outside the grid EPSG:{grid}")
    return Reading(latitude, longitude, precision_m=radius_m, source=datum)
