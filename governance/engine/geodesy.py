"""Areas on the ellipsoid: is a point inside, and how many metres to the nearest edge.

Edges are straight in longitude and latitude (RFC 7946, section 3.1.1) and distances geodesic on WGS84. The nearest
point of an edge is sought on chords through the earth, which know neither antimeridian nor pole; the metres of the
winner come from the geodesic itself (Karney's algorithm in PROJ), so the measure is exact for the point found.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import cast

import numpy as np
import numpy.typing as npt
import shapely
from pyproj import Geod
from shapely.geometry.base import BaseGeometry

from governance.engine.tables import BoolColumn, FloatColumn

Vectors = npt.NDArray[np.float64]
"""Earth-centred positions in metres, shape (n, 3)."""

WGS84 = Geod(ellps="WGS84")
_LONGEST_STEP_DEG = 0.25
_PAIRS_AT_ONCE = 500_000
_BLOCK = 16
_DISC_VERTICES = 720
_SAME_EDGE_DEG = 1e-9


def vectors(longitude_deg: FloatColumn, latitude_deg: FloatColumn) -> Vectors:
    """Earth-centred positions on WGS84, shape (n, 3), metres."""
    lon, lat = np.radians(longitude_deg), np.radians(latitude_deg)
    across = WGS84.a / np.sqrt(1 - WGS84.es * np.sin(lat) ** 2)
    return np.column_stack(
        [across * np.cos(lat) * np.cos(lon), across * np.cos(lat) * np.sin(lon), across * (1 - WGS84.es) * np.sin(lat)]
    )


def geodesic_m(lon1: FloatColumn, lat1: FloatColumn, lon2: FloatColumn, lat2: FloatColumn) -> FloatColumn:
    """Geodesic distance in metres of each pair of points in degrees."""
    return np.asarray(WGS84.inv(lon1, lat1, lon2, lat2)[2], np.float64)


@dataclass(frozen=True)
class Edges:
    """Segments straight in longitude and latitude, none longer than a quarter of a degree; degrees, shape (n,).

    For the search they are kept in blocks of neighbours, each in a ball: most blocks are ruled out by their ball.
    """

    lon1: FloatColumn
    lat1: FloatColumn
    lon2: FloatColumn
    lat2: FloatColumn

    def __len__(self) -> int:
        return len(self.lon1)

    def take(self, flags: BoolColumn) -> Edges:
        return Edges(self.lon1[flags], self.lat1[flags], self.lon2[flags], self.lat2[flags])

    @cached_property
    def starts(self) -> Vectors:
        return vectors(self.lon1, self.lat1)

    @cached_property
    def runs(self) -> Vectors:
        """From start to end of each edge, as a chord."""
        return vectors(self.lon2, self.lat2) - self.starts

    @cached_property
    def lengths_m(self) -> FloatColumn:
        return np.linalg.norm(self.runs, axis=1)

    @cached_property
    def bulges_m(self) -> FloatColumn:
        """How far an edge can leave its chord: a line straight in degrees bends by about length^2 tan(latitude) / 8R."""
        return self.lengths_m**2 * 4e-7 + 1.0

    @cached_property
    def _balls(self) -> tuple[Vectors, FloatColumn]:
        """Centre and radius of a ball about each block of edges."""
        block = np.arange(len(self)) // _BLOCK
        first = np.arange(0, len(self), _BLOCK)
        counts = np.diff([*first, len(self)])
        middle = self.starts + self.runs / 2
        centres = np.add.reduceat(middle, first, axis=0) / counts[:, None]
        reach = np.linalg.norm(middle - centres[block], axis=1) + self.lengths_m / 2 + self.bulges_m
        return centres, np.maximum.reduceat(reach, first)

    @cached_property
    def ball(self) -> tuple[Vectors, float]:
        """Centre and radius of a ball about all edges."""
        centres, radii = self._balls
        centre = (centres.min(axis=0) + centres.max(axis=0)) / 2
        return centre, float((np.linalg.norm(centres - centre, axis=1) + radii).max())

    def at_least_m(self, points: Vectors, *, beyond_m: FloatColumn | float = np.inf) -> FloatColumn:
        """Metres that no edge comes nearer than, shape (n,), 0 where it says nothing.

        beyond_m: what is farther than this by the coarsest bound is not looked at closer.
        """
        if not len(self):
            return np.full(len(points), np.inf)
        centre, radius = self.ball
        bound = np.linalg.norm(points - centre, axis=1) - radius
        close = np.flatnonzero(bound <= beyond_m)
        centres, radii = self._balls
        for part in _slices(len(close), len(radii)):
            own = close[part]
            bound[own] = np.maximum((_chords(points[own], centres) - radii).min(axis=1), bound[own])
        return np.maximum(bound, 0)

    def distance_m(self, longitude_deg: FloatColumn, latitude_deg: FloatColumn) -> FloatColumn:
        """Metres from each point to the nearest edge; infinite where there is no edge."""
        distance = np.full(len(longitude_deg), np.inf)
        if len(self):
            for part in _slices(len(distance), len(self._balls[1])):
                distance[part] = self._nearest(longitude_deg[part], latitude_deg[part])
        return distance

    def _nearest(self, lon: FloatColumn, lat: FloatColumn) -> FloatColumn:
        points = vectors(lon, lat)
        point, edge = self._candidates(points)
        share = self._nearest_share(points[point], edge)
        found_lon, found_lat = self._along(edge, share)
        chord = np.linalg.norm(vectors(found_lon, found_lat) - points[point], axis=1)
        order = np.lexsort((edge, chord, point))
        winner = order[_begins(point[order])]
        return geodesic_m(lon, lat, found_lon[winner], found_lat[winner])

    def _candidates(self, points: Vectors) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
        """Pairs of point and edge, by point, among which the nearest edge of each point is: first by block, then by edge."""
        centres, radii = self._balls
        to_centre = _chords(points, centres)
        farthest = (to_centre + radii).min(axis=1) + 1.0
        point, block = np.nonzero(to_centre - radii <= farthest[:, None])
        point, edge = self._spread(point, block)
        chord = self._to_chord(points[point], edge)
        bulge = self.bulges_m[edge]
        best = np.minimum.reduceat(chord + bulge, np.flatnonzero(_begins(point)))
        near = chord - bulge <= best[np.cumsum(_begins(point)) - 1]
        return point[near], edge[near]

    def _spread(self, point: npt.NDArray[np.intp], block: npt.NDArray[np.intp]) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
        """From pairs of point and block to pairs of point and edge."""
        edge = (block[:, None] * _BLOCK + np.arange(_BLOCK)).reshape(-1)
        point = np.repeat(point, _BLOCK)
        real = edge < len(self)
        return point[real], edge[real]

    def _to_chord(self, points: Vectors, edge: npt.NDArray[np.intp]) -> FloatColumn:
        """Metres from each point to the chord of its edge."""
        away, run = points - self.starts[edge], self.runs[edge]
        share = np.einsum("ij,ij->i", away, run) / np.maximum(self.lengths_m[edge] ** 2, 1e-12)
        away -= np.clip(share, 0, 1)[:, None] * run
        return np.sqrt(np.einsum("ij,ij->i", away, away))

    def _along(self, edge: npt.NDArray[np.intp], share: FloatColumn) -> tuple[FloatColumn, FloatColumn]:
        lon = self.lon1[edge] + share * (self.lon2[edge] - self.lon1[edge])
        lat = self.lat1[edge] + share * (self.lat2[edge] - self.lat1[edge])
        return lon, lat

    def _nearest_share(self, points: Vectors, edge: npt.NDArray[np.intp]) -> FloatColumn:
        """Where along each edge the nearest point lies, 0 to 1: on the chord, then bettered on the true edge."""
        away, run = points - self.starts[edge], self.runs[edge]
        share = np.clip((away * run).sum(axis=1) / np.maximum(self.lengths_m[edge] ** 2, 1e-12), 0, 1)
        for reach in (0.05, 0.005):
            shares = [np.clip(share + offset, 0, 1) for offset in (-reach, 0.0, reach)]
            low, middle, high = (self._chord_2(points, edge, s) for s in shares)
            bend = low - 2 * middle + high
            shift = np.where(bend > 0, reach * (low - high) / (2 * np.where(bend > 0, bend, 1)), 0)
            better = np.clip(shares[1] + np.clip(shift, -reach, reach), 0, 1)
            tried = np.stack([*shares, better])
            reached = np.stack([low, middle, high, self._chord_2(points, edge, better)])
            share = tried[reached.argmin(axis=0), np.arange(len(share))]
        return cast(FloatColumn, share)

    def _chord_2(self, points: Vectors, edge: npt.NDArray[np.intp], share: FloatColumn) -> FloatColumn:
        difference = vectors(*self._along(edge, share)) - points
        return cast(FloatColumn, (difference * difference).sum(axis=1))


def _slices(points: int, others: int) -> Iterator[slice]:
    """Slices of the points, so that a table of points and others stays small."""
    step = max(1, _PAIRS_AT_ONCE // max(others, 1))
    yield from (slice(first, first + step) for first in range(0, points, step))


def _begins(numbers: npt.NDArray[np.intp]) -> BoolColumn:
    """Where a run of equal numbers begins."""
    begins = np.ones(len(numbers), bool)
    begins[1:] = numbers[1:] != numbers[:-1]
    return begins


def _chords(points: Vectors, others: Vectors) -> npt.NDArray[np.float64]:
    """Straight distances, shape (points, others), metres; good to a few centimetres."""
    squared = points @ (-2 * others.T)
    squared += (points * points).sum(axis=1)[:, None]
    squared += (others * others).sum(axis=1)[None, :]
    return np.sqrt(np.maximum(squared, 0, out=squared), out=squared)


def edges_of(shape: BaseGeometry) -> Edges:
    """The true edges of a polygon or line: what lies on a pole, or on the antimeridian and goes on beyond it, is none."""
    parts = shapely.get_parts(shape)
    rings = shapely.get_rings(parts) if shape.area else parts
    segments = [np.hstack([c[:-1], c[1:]]) for c in (shapely.get_coordinates(r) for r in rings)]
    return _split(_without_seams(np.vstack(segments) if segments else np.zeros((0, 4))))


def _without_seams(segments: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    lon1, lat1, lon2, lat2 = segments.T
    on_pole = (np.abs(lat1) == 90) & (lat1 == lat2)
    east, west = (lon1 == 180) & (lon2 == 180), (lon1 == -180) & (lon2 == -180)
    rest = segments[~(on_pole | east | west)]
    if not (east.any() or west.any()):
        return rest
    lines = [shapely.union_all(shapely.linestrings(_upright(segments[side]))) for side in (east, west)]
    open_line = lines[0].symmetric_difference(lines[1])
    seams = [
        np.hstack([c[:-1], c[1:]])
        for c in (shapely.get_coordinates(part) for part in shapely.get_parts(open_line) if part.length > 0)
    ]
    return np.vstack([rest, *[s + np.array([180.0, 0, 180.0, 0]) for s in seams]])


def _upright(segments: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Seam segments as lines at longitude 0, shape (n, 2, 2)."""
    zero = np.zeros(len(segments))
    return np.stack([np.column_stack([zero, segments[:, 1]]), np.column_stack([zero, segments[:, 3]])], axis=1)


def _split(segments: npt.NDArray[np.float64]) -> Edges:
    """Segments cut into pieces of at most a quarter of a degree."""
    lon1, lat1, lon2, lat2 = segments.T
    longest = np.maximum(np.abs(lon2 - lon1), np.abs(lat2 - lat1))
    pieces = np.maximum(np.ceil(longest / _LONGEST_STEP_DEG).astype(int), 1)
    of = np.repeat(np.arange(len(segments)), pieces)
    number = np.arange(len(of)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    low, high = number / pieces[of], (number + 1) / pieces[of]
    lon_run, lat_run = (lon2 - lon1)[of], (lat2 - lat1)[of]
    return Edges(lon1[of] + low * lon_run, lat1[of] + low * lat_run, lon1[of] + high * lon_run, lat1[of] + high * lat_run)


def holds(shape: BaseGeometry, longitude_deg: FloatColumn, latitude_deg: FloatColumn) -> BoolColumn:
    """Points in the closed shape. Both spellings of the antimeridian are one point, and every longitude is the pole."""
    shapely.prepare(shape)
    inside = shapely.intersects_xy(shape, longitude_deg, latitude_deg)
    on_seam = np.flatnonzero(np.abs(longitude_deg) == 180)
    if len(on_seam):
        inside[on_seam] |= shapely.intersects_xy(shape, -longitude_deg[on_seam], latitude_deg[on_seam])
    for pole in (-90.0, 90.0):
        at_pole = np.flatnonzero(latitude_deg == pole)
        if len(at_pole):
            inside[at_pole] = shapely.intersects(shape, shapely.linestrings([(-180, pole), (180, pole)]))
    return cast(BoolColumn, inside)


def disc_polygon(longitude_deg: float, latitude_deg: float, radius_m: float) -> BaseGeometry | None:
    """A geodesic circle as a polygon (off by less than 0.001 % of its radius), or None where it holds a pole."""
    azimuths = np.linspace(0, 360, _DISC_VERTICES, endpoint=False)
    centre = np.full(_DISC_VERTICES, longitude_deg), np.full(_DISC_VERTICES, latitude_deg)
    lon, lat, _ = WGS84.fwd(*centre, azimuths, np.full(_DISC_VERTICES, radius_m))
    lon = longitude_deg + (np.asarray(lon) - longitude_deg + 180) % 360 - 180
    ring = shapely.polygons(np.column_stack([lon, lat]))
    to_pole = geodesic_m(np.zeros(2), np.array([90.0, -90.0]), np.zeros(2), np.full(2, latitude_deg))
    if to_pole.min() <= radius_m or not shapely.is_valid(ring):
        return None
    return _wrapped(ring)


def _wrapped(ring: BaseGeometry) -> BaseGeometry:
    """Cut at the antimeridian (RFC 7946, section 3.1.9)."""
    parts = []
    for shift in (-360, 0, 360):
        moved = shapely.transform(ring, lambda c, shift=shift: c + [shift, 0])
        part = moved.intersection(shapely.box(-180, -90, 180, 90))
        if part.area:
            parts.append(part)
    return shapely.union_all(parts)


def edge_groups(region: BaseGeometry, parts: Sequence[tuple[BaseGeometry, float]]) -> list[tuple[Edges, float]]:
    """The edges of a region made of parts, grouped by the error in metres of the part each edge belongs to.

    Where an edge belongs to several parts, or to none that is found, the largest error counts.
    """
    edges = edges_of(region)
    errors_m = [error_m for _, error_m in parts]
    if len(set(errors_m)) <= 1:
        return [(edges, errors_m[0] if errors_m else 0.0)]
    middle = shapely.points((edges.lon1 + edges.lon2) / 2, (edges.lat1 + edges.lat2) / 2)
    error = np.full(len(edges), -1.0)
    for shape, error_m in parts:
        near = shapely.distance(shape.boundary, middle) < _SAME_EDGE_DEG
        error = np.where(near, np.maximum(error, error_m), error)
    error[error < 0] = max(errors_m)
    return [(edges.take(error == error_m), float(error_m)) for error_m in np.unique(error)]
