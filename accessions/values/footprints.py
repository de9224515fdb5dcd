"""Shapes of places: footprintWKT."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from accessions.values._datums import WGS84, epsg_code, geographic_code, is_projected, is_used_at, transformer
from accessions.values._problems import PositionProblem
from accessions.values.blanks import filled

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely import LineString, MultiPolygon, Polygon
    from shapely.geometry.base import BaseGeometry

LONGEST_WKT = 1_000_000
"""Characters. A longer footprint is refused."""

MOST_POINTS_JOINED = 500
"""Points of parts that overlap and are joined. Joining takes time by the square of their number, so that a cell of
narrow strips laid across each other would hold up the work for minutes."""

_READ_TYPES = re.compile(r"\s*(POLYGON|MULTIPOLYGON|LINESTRING)\s*(?:Z|M|ZM)?\s*(?:\(|EMPTY)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class FootprintRead:
    """geometry: WGS84, longitude and latitude, straight edges between them; None where there is none or it is refused.

    datum_known: the system was stated, understood, and its shift applied. hint: why it is refused, "" if it is not.
    """

    geometry: Polygon | MultiPolygon | LineString | None
    datum_known: bool
    hint: str = ""


def read_footprint(wkt: str, srs: str, *, fallback_datum: str = "") -> FootprintRead:
    """Reads a polygon, several polygons or a line. Heights are dropped; latitude first is not put right.

    Args:
        wkt: well-known text, longitude before latitude as Darwin Core has it.
        srs: footprintSRS. Where it is blank, ``fallback_datum`` (geodeticDatum) stands in.

    >>> read_footprint("POLYGON ((10 20, 11 20, 11 21, 10 21, 10 20))", "EPSG:4326").geometry.bounds
    (10.0, 20.0, 11.0, 21.0)
    >>> read_footprint("POINT (10 20)", "EPSG:4326").hint
    'a footprint is a polygon, several polygons or a line'
    """
    text = wkt.strip() if len(wkt) <= LONGEST_WKT else wkt
    if len(text) <= LONGEST_WKT and not filled(text):
        return FootprintRead(None, False)
    stated = filled(srs) or filled(fallback_datum)
    try:
        return _shifted(_parse(text), stated)
    except PositionProblem as problem:
        return FootprintRead(None, False, str(problem))


def _parse(text: str) -> BaseGeometry:
    """The geometry in the system that it is written in. Raises: PositionProblem."""
    if len(text) > LONGEST_WKT:
        raise PositionProblem(f"the footprint is longer than {LONGEST_WKT} characters")
    if not _READ_TYPES.match(text):
        raise PositionProblem("a footprint is a polygon, several polygons or a line")
    import shapely

    try:
        geometry = shapely.force_2d(shapely.from_wkt(text))
    except shapely.errors.GEOSException as error:
        is_open = "closed" in str(error) or "LinearRing" in str(error)
        raise PositionProblem(
            "a ring is not closed: its last point is not its first"
            if is_open
            else "the footprint is no well-known text such as POLYGON ((10 20, 11 20, 11 21, 10 20))"
        ) from error
    if geometry.is_empty:
        raise PositionProblem("the footprint is empty")
    return geometry


def _shifted(geometry: BaseGeometry, stated: str) -> FootprintRead:
    import shapely

    code = epsg_code(stated)
    if code is not None and is_projected(code):
        raise PositionProblem("footprintSRS names a grid in metres; longitude and latitude are expected")
    _check_positions(shapely.get_coordinates(geometry))
    source = geographic_code(stated)
    known = source is not None
    if source is not None and source != WGS84:
        moved = _on_wgs84(geometry, source)
        known = moved is not None
        geometry = moved if moved is not None else geometry
    return FootprintRead(_checked_shape(geometry), known)


def _check_positions(positions: NDArray[np.float64]) -> None:
    import numpy as np

    # written so that NaN fails too
    if not bool((np.abs(positions) <= (180.0, 90.0)).all()):
        raise PositionProblem("a point of the footprint lies beyond 180 degrees of longitude or 90 of latitude")


def _on_wgs84(geometry: BaseGeometry, source: int) -> BaseGeometry | None:
    """The shape with every point shifted, None where the shift is not known for one of them."""
    import numpy as np
    import shapely

    way = transformer(source, WGS84)
    west, south, east, north = geometry.bounds
    if way is None or not (is_used_at(source, west, south) and is_used_at(source, east, north)):
        return None
    x, y = way.transform(*shapely.get_coordinates(geometry).T)
    if not (np.isfinite(x).all() and np.isfinite(y).all() and (np.abs(x) <= 180).all() and (np.abs(y) <= 90).all()):
        return None
    return shapely.transform(geometry, lambda _: np.column_stack((x, y)))


def _checked_shape(geometry: BaseGeometry) -> Polygon | MultiPolygon | LineString:
    """The shape, once every ring is sound. Parts that overlap are joined."""
    import shapely

    if isinstance(geometry, shapely.LineString):
        _check_edges(geometry)
        return geometry
    parts = list(geometry.geoms) if isinstance(geometry, shapely.MultiPolygon) else [geometry]
    for part in parts:
        if not isinstance(part, shapely.Polygon) or part.is_empty:
            raise PositionProblem("a part of the footprint is empty")
        for ring in (part.exterior, *part.interiors):
            _check_edges(ring)
        if not part.is_valid:
            raise PositionProblem(f"a ring crosses itself or another: {shapely.is_valid_reason(part)}")
    if geometry.is_valid:
        whole = geometry
    elif len(shapely.get_coordinates(geometry)) <= MOST_POINTS_JOINED:
        whole = shapely.union_all(parts)
    else:
        raise PositionProblem("the parts of the footprint overlap; join them into one outline")
    if not isinstance(whole, shapely.Polygon | shapely.MultiPolygon):
        raise PositionProblem("the parts of the footprint do not make an area")
    return whole


def _check_edges(line: BaseGeometry) -> None:
    """Raises: PositionProblem: an edge over 180 degrees of longitude, which runs the wrong way around the earth."""
    import numpy as np
    import shapely

    longitudes = shapely.get_coordinates(line)[:, 0]
    if (np.abs(np.diff(longitudes)) > 180).any():
        raise PositionProblem("an edge of the footprint spans more than 180 degrees of longitude; cut it at 180")
