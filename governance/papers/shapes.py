"""Rings and polygons in longitude and latitude: what may be wrong with them, and GeoJSON to shapes.

Edges are straight in longitude and latitude (RFC 7946, 3.1.1). A ring that is not closed, crosses itself, has an edge
over more than 180 degrees of longitude or leaves -180..180 is an error that names it (VERDICTS, section 4). The
right-hand rule is not asked for (RFC 7946, 3.1.6).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final

import numpy as np
import shapely
from shapely.geometry import LinearRing, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from accessions.intake.problems import Problem, shown

Position = tuple[float, float]
Ring = Sequence[Position]

MAX_POSITIONS: Final = 3_000_000
_MIN_RING: Final = 4
_PLACE_OF_FAULT: Final = re.compile(r"\[(\S+) (\S+)\]")
_POLYGON_TYPES: Final = ("Polygon", "MultiPolygon", "GeometryCollection", "Feature", "FeatureCollection")


def validate_shape(geometry: BaseGeometry, where: str, file: str = "") -> list[Problem]:
    """What is wrong with a Polygon or MultiPolygon in longitude and latitude; empty if nothing is.

    Args:
        geometry: the shape; other types are a problem themselves.
        where: words for the place in the file; the ring is added to it.
        file: name of the file.
    """
    if geometry.geom_type not in ("Polygon", "MultiPolygon") or geometry.is_empty:
        kind = "is empty" if geometry.is_empty else f"is a {geometry.geom_type}"
        return [Problem(file, where, f"the area {kind}", "An area is a polygon or several polygons.")]
    parts = [geometry] if geometry.geom_type == "Polygon" else list(geometry.geoms)
    problems: list[Problem] = []
    for number, part in enumerate(parts):
        prefix = "" if len(parts) == 1 else f"polygon {number + 1}, "
        rings = [[(x, y) for x, y, *_ in ring.coords] for ring in (part.exterior, *part.interiors)]
        problems += polygon_problems(rings, where, file, prefix)
    return problems


def polygon_problems(rings: Sequence[Ring], where: str, file: str, prefix: str = "") -> list[Problem]:
    """What is wrong with a polygon given as rings, the outer one first."""
    if not rings:
        return [
            Problem(file, where, f"{prefix}no ring".strip(), "A polygon has an outer ring of four or more positions.")
        ]
    problems = [problem for i, ring in enumerate(rings) for problem in _ring_problems(ring, where, file, prefix, i)]
    if problems or len(rings) == 1:
        return problems
    reason = shapely.is_valid_reason(Polygon(rings[0], rings[1:]))
    if reason == "Valid Geometry":
        return []
    return [Problem(
        file, where, f"{prefix}its holes do not lie properly inside the outer ring ({_fault(reason)})",
        "A hole lies inside the outer ring, and holes do not overlap.",
    )]  # fmt: skip


def _ring_problems(ring: Ring, where: str, file: str, prefix: str, number: int) -> Iterator[Problem]:
    name = f"{prefix}ring {number + 1} ({'outer' if number == 0 else 'hole'})"
    if len(ring) < _MIN_RING:
        yield Problem(
            file, where, f"{name} has {len(ring)} positions", "A ring has four or more, the first equal to the last."
        )
        return
    if tuple(ring[0]) != tuple(ring[-1]):
        yield Problem(
            file,
            where,
            f"{name} is not closed: it starts at {_words(ring[0])} and ends at {_words(ring[-1])}",
            "Repeat the first position as the last.",
        )
    points = np.asarray(ring, dtype=np.float64)
    faults = [*_range_fault(points, name), *_long_edge_fault(points, name)]
    if not faults and tuple(ring[0]) == tuple(ring[-1]):
        faults = [*_crossing_fault(ring, name)]
    for found, expected in faults:
        yield Problem(file, where, found, expected)


def _range_fault(points: np.ndarray[Any, np.dtype[np.float64]], name: str) -> Iterator[tuple[str, str]]:
    inside = (np.abs(points[:, 0]) <= 180) & (np.abs(points[:, 1]) <= 90)
    if not inside.all():
        bad = points[int(np.argmin(inside))]
        yield (
            f"{name} leaves the globe at {_words(bad)}",
            "Longitude (first) is -180 to 180, latitude -90 to 90; cut an area over the 180th meridian in two.",
        )


def _long_edge_fault(points: np.ndarray[Any, np.dtype[np.float64]], name: str) -> Iterator[tuple[str, str]]:
    spans = np.abs(np.diff(points[:, 0]))
    if len(spans) and spans.max() > 180:
        at = int(np.argmax(spans))
        yield (
            f"{name} has an edge that spans {spans[at]:g} degrees of longitude, from {_words(points[at])} "
            f"to {_words(points[at + 1])}",
            "No edge spans more than 180 degrees; cut the area at the 180th meridian, or put vertices between.",
        )


def _crossing_fault(ring: Ring, name: str) -> Iterator[tuple[str, str]]:
    reason = shapely.is_valid_reason(Polygon(ring))
    if reason != "Valid Geometry":
        yield (f"{name} crosses or touches itself, or encloses nothing ({_fault(reason)})", "Draw it as a simple loop.")
    elif not LinearRing(ring).is_simple:
        yield (f"{name} crosses or touches itself", "Draw it as a simple loop.")


def _fault(reason: str) -> str:
    place = _PLACE_OF_FAULT.search(reason)
    return f"near {place[1]}, {place[2]}" if place else reason


def _words(position: Any) -> str:
    return f"{float(position[0]):.10g}, {float(position[1]):.10g}"


def joined_shape(polygons: Sequence[BaseGeometry]) -> BaseGeometry:
    """All polygons as one Polygon or MultiPolygon; overlapping ones are merged."""
    flat = [part for shape in polygons for part in (shape.geoms if shape.geom_type == "MultiPolygon" else [shape])]
    if len(flat) == 1:
        return flat[0]
    several = MultiPolygon(flat)
    return several if several.is_valid else shapely.union_all(flat)


class GeoJSONReader:
    """Reads the polygons of a GeoJSON object and gathers everything that is wrong with it."""

    def __init__(self, file: str, where: str) -> None:
        self._file = file
        self._where = where
        self._positions = 0
        self.problems: list[Problem] = []

    def read(self, value: Any) -> BaseGeometry | None:
        """The shape, or None if there are problems."""
        rings = list(self._polygons(value, "geojson", 0))
        for number, polygon in enumerate(rings):
            prefix = "" if len(rings) == 1 else f"polygon {number + 1}, "
            self.problems += polygon_problems(polygon, self._where, self._file, prefix)
        if not rings and not self.problems:
            self._add("the GeoJSON holds no polygon", "Give a Polygon, a MultiPolygon, or features that are such.")
        return None if self.problems else joined_shape([Polygon(rings_[0], rings_[1:]) for rings_ in rings])

    def _add(self, found: str, expected: str) -> None:
        self.problems.append(Problem(self._file, self._where, found, expected))

    def _polygons(self, value: Any, path: str, depth: int) -> Iterator[list[list[Position]]]:
        kind = value.get("type") if isinstance(value, dict) else None
        if kind not in _POLYGON_TYPES or depth > 20:
            said = f"has the type {shown(str(kind))}" if isinstance(value, dict) else "is no object"
            self._add(f"{path} {said}", f"An area is one of {', '.join(_POLYGON_TYPES)}, of polygons only.")
        elif "crs" in value:
            self._add(
                f"{path} has a member crs", "GeoJSON is in WGS84 longitude and latitude (RFC 7946, 4); transform it."
            )
        elif kind == "Feature":
            yield from self._polygons(value.get("geometry"), f"{path}.geometry", depth + 1)
        elif kind in ("FeatureCollection", "GeometryCollection"):
            key = "features" if kind == "FeatureCollection" else "geometries"
            for index, item in enumerate(self._list(value.get(key), f"{path}.{key}")):
                yield from self._polygons(item, f"{path}.{key}[{index}]", depth + 1)
        elif kind == "Polygon":
            yield from self._rings(value.get("coordinates"), f"{path}.coordinates")
        else:
            for index, item in enumerate(self._list(value.get("coordinates"), f"{path}.coordinates")):
                yield from self._rings(item, f"{path}.coordinates[{index}]")

    def _list(self, value: Any, path: str) -> list[Any]:
        if isinstance(value, list):
            return value
        self._add(f"{path} is no list", "GeoJSON has a list there.")
        return []

    def _rings(self, value: Any, path: str) -> Iterator[list[list[Position]]]:
        """The rings of one polygon; nothing if they cannot be read, as their faults are told already."""
        told = len(self.problems)
        rings = [
            list(self._ring_positions(self._list(ring, f"{path}[{index}]"), f"{path}[{index}]"))
            for index, ring in enumerate(self._list(value, path))
        ]
        if len(self.problems) == told:
            yield rings

    def _ring_positions(self, ring: Iterable[Any], path: str) -> Iterator[Position]:
        for index, position in enumerate(ring):
            self._positions += 1
            if not is_position(position) or self._positions > MAX_POSITIONS:
                self._add(
                    f"{path}[{index}] is no position",
                    "A position is [longitude, latitude] in numbers, at most a height after.",
                )
                return
            yield (float(position[0]), float(position[1]))


def is_position(value: Any) -> bool:
    """Whether a JSON value is a list of two or more finite numbers."""
    return (
        isinstance(value, list)
        and 2 <= len(value) <= 10
        and all(type(number) in (int, float) and math.isfinite(number) for number in value)
    )
