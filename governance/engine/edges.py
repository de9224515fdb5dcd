"""Edges straight in longitude and latitude, and how many metres it is to the nearest of them.

The nearest point is sought on chords through the earth, which know neither antimeridian nor pole; the metres of the
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
from shapely.geometry.base import BaseGeometry

from governance.engine.geodesy import Vectors, geodesic_m, vectors
from governance.engine.tables import BoolColumn, FloatColumn, Rows

Segments = npt.NDArray[np.float64]
"""Longitude and latitude in degrees of start and of end, shape (n, 4)."""

_LONGEST_STEP_DEG = 0.25
_PAIRS_AT_ONCE = 300_000
_BLOCK = 16
_FAR_M = 100_000.0
_LONG_EDGE_M = 2000.0
"""The foot of the perpendicular on a shorter chord is the foot on the edge to within centimetres."""
_SAME_EDGE_DEG = 1e-9


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
        """The flagged edges."""
        return Edges(self.lon1[flags], self.lat1[flags], self.lon2[flags], self.lat2[flags])

    @cached_property
    def starts(self) -> Vectors:
        """Where each edge starts, earth-centred, metres."""
        return vectors(self.lon1, self.lat1)

    @cached_property
    def runs(self) -> Vectors:
        """From start to end of each edge, as a chord."""
        return vectors(self.lon2, self.lat2) - self.starts

    @cached_property
    def lengths_m(self) -> FloatColumn:
        """Length of each chord."""
        return np.asarray(np.linalg.norm(self.runs, axis=1), np.float64)

    @cached_property
    def bulges_m(self) -> FloatColumn:
        """How far an edge can leave its chord.

        A line straight in degrees bends by about length^2 tan(latitude) / 8R.
        """
        return self.lengths_m**2 * 4e-7 + 1.0

    @cached_property
    def balls(self) -> tuple[Vectors, FloatColumn]:
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
        centres, radii = self.balls
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
        centres, radii = self.balls
        for part in _slices(len(close), len(radii)):
            own = close[part]
            bound[own] = np.maximum((_chords(points[own], centres) - radii).min(axis=1), bound[own])
        return np.asarray(np.maximum(bound, 0), np.float64)

    def distance_m(self, longitude_deg: FloatColumn, latitude_deg: FloatColumn) -> FloatColumn:
        """Metres from each point to the nearest edge; infinite where there is no edge."""
        return EdgePool([self]).distance_m(np.zeros(len(longitude_deg), np.int64), longitude_deg, latitude_deg)


class EdgePool:
    """The edges of several areas laid end to end, so that points of many areas are measured in one go."""

    def __init__(self, members: Sequence[Edges]) -> None:
        filled = [edges for edges in members if len(edges)]
        self._is_empty = np.array([not len(edges) for edges in members], bool)
        balls = [edges.balls for edges in filled]
        self._centres = np.concatenate([centres for centres, _ in balls] or [np.zeros((0, 3))])
        self._radii = np.concatenate([radii for _, radii in balls] or [np.zeros(0)])
        blocks = np.array([-(-len(edges) // _BLOCK) for edges in members], np.int64)
        edges_before = np.cumsum([0, *(len(edges) for edges in members)])
        self._first_block = np.cumsum([0, *blocks])
        of = np.repeat(np.arange(len(members)), blocks)
        number = np.arange(len(of)) - self._first_block[of]
        self._block_start = edges_before[of] + number * _BLOCK
        self._block_end = np.minimum(self._block_start + _BLOCK, edges_before[of + 1])
        for name in ("lon1", "lat1", "lon2", "lat2", "starts", "runs", "lengths_m", "bulges_m"):
            shape = (0, 3) if name in ("starts", "runs") else (0,)
            setattr(self, f"_{name}", np.concatenate([getattr(e, name) for e in filled] or [np.zeros(shape)]))

        self._middles = vectors((self._lon1 + self._lon2) / 2, (self._lat1 + self._lat2) / 2)

    _lon1: FloatColumn
    _lat1: FloatColumn
    _lon2: FloatColumn
    _lat2: FloatColumn
    _starts: Vectors
    _runs: Vectors
    _lengths_m: FloatColumn
    _bulges_m: FloatColumn

    def distance_m(
        self,
        member: Rows,
        longitude_deg: FloatColumn,
        latitude_deg: FloatColumn,
        beyond_m: FloatColumn | None = None,
    ) -> FloatColumn:
        """Metres from each point to the nearest edge of its member; infinite where that has none.

        beyond_m: where the distance is larger than this, infinity may stand for it; None: every distance is wanted.
        """
        beyond_m = np.full(len(member), np.inf) if beyond_m is None else beyond_m
        distance = np.full(len(member), np.inf)
        asked = np.flatnonzero(~self._is_empty[member])
        blocks = np.diff(self._first_block)[member[asked]]
        for part in _parts(blocks):
            own = asked[part]
            distance[own] = self._nearest(member[own], longitude_deg[own], latitude_deg[own], beyond_m[own])
        return distance

    def _nearest(self, member: Rows, lon: FloatColumn, lat: FloatColumn, beyond_m: FloatColumn) -> FloatColumn:
        """As ``distance_m``, for so few points that all their candidates fit in memory."""
        points = vectors(lon, lat)
        point, edge = self._candidates(points, member, beyond_m)
        share = self._nearest_share(points[point], edge)
        self._round_far(share, point, edge, lon, lat)
        found_lon, found_lat = self._along(edge, share)
        chord = np.linalg.norm(vectors(found_lon, found_lat) - points[point], axis=1)
        order = np.lexsort((edge, chord, point))
        winner = order[_begins(point[order])]
        found = point[winner]
        distance = np.full(len(lon), np.inf)
        distance[found] = geodesic_m(lon[found], lat[found], found_lon[winner], found_lat[winner])
        return distance

    def _candidates(self, points: Vectors, member: Rows, beyond_m: FloatColumn) -> tuple[Rows, Rows]:
        """Pairs of point and edge, by point, among which the nearest edge of each point is.

        First whole blocks are ruled out, then single edges.
        """
        point, block = self._close_blocks(points, member, beyond_m)
        which, edge = _ranges(self._block_start[block], self._block_end[block])
        point = point[which]
        chord = self._to_chord(points[point], edge)
        bulge = self._bulges_m[edge]
        begins = _begins(point)
        best = np.minimum.reduceat(chord + bulge, np.flatnonzero(begins)) if len(point) else chord
        near = chord - bulge <= best[np.cumsum(begins) - 1]
        return point[near], edge[near]

    def _close_blocks(self, points: Vectors, member: Rows, beyond_m: FloatColumn) -> tuple[Rows, Rows]:
        """Pairs of point and block, by point, of which one holds the nearest edge: member by member, as one product.

        The edges of the block that looks nearest give a distance that no block of interest may exceed.
        """
        found = []
        order = np.argsort(member, kind="stable")
        for own in np.split(order, np.flatnonzero(np.diff(member[order])) + 1):
            blocks = slice(*self._first_block[member[own[0]] : member[own[0]] + 2])
            bound = _chords(points[own], self._centres[blocks]) - self._radii[blocks]
            reached = self._reached(points[own], bound.argmin(axis=1) + blocks.start)
            row, column = np.nonzero(bound <= np.minimum(reached, beyond_m[own])[:, None])
            found.append(np.stack([own[row], column + blocks.start]))
        pairs = np.concatenate(found, axis=1)
        by_point, of_point = pairs[:, np.argsort(pairs[0], kind="stable")]
        return by_point, of_point

    def _reached(self, points: Vectors, block: Rows) -> FloatColumn:
        """A distance within which some edge of the block lies, one block a point."""
        edge = np.minimum(self._block_start[block][:, None] + np.arange(_BLOCK), self._block_end[block][:, None] - 1)
        away = points[:, None, :] - self._middles[edge]
        return np.asarray(np.sqrt(np.einsum("ijk,ijk->ij", away, away).min(axis=1)) + 1.0, np.float64)

    def _to_chord(self, points: Vectors, edge: Rows) -> FloatColumn:
        """Metres from each point to the chord of its edge."""
        away, run = points - self._starts[edge], self._runs[edge]
        share = np.einsum("ij,ij->i", away, run) / np.maximum(self._lengths_m[edge] ** 2, 1e-12)
        away -= np.clip(share, 0, 1)[:, None] * run
        return _norms(away)

    def _along(self, edge: Rows, share: FloatColumn) -> tuple[FloatColumn, FloatColumn]:
        """The point at a share of each edge, 0 at its start: longitude and latitude in degrees."""
        lon = self._lon1[edge] + share * (self._lon2[edge] - self._lon1[edge])
        lat = self._lat1[edge] + share * (self._lat2[edge] - self._lat1[edge])
        return lon, lat

    def _nearest_share(self, points: Vectors, edge: Rows) -> FloatColumn:
        """Where along each edge the nearest point lies, 0 to 1: on the chord; for long edges on the true edge."""
        away, run = points - self._starts[edge], self._runs[edge]
        share = np.clip(np.einsum("ij,ij->i", away, run) / np.maximum(self._lengths_m[edge] ** 2, 1e-12), 0, 1)
        long = np.flatnonzero(self._lengths_m[edge] > _LONG_EDGE_M)
        for reach in (0.05, 0.005) if len(long) else ():
            share[long] = self._bettered(points[long], edge[long], share[long], reach)
        return cast(FloatColumn, share)

    def _round_far(self, share: FloatColumn, point: Rows, edge: Rows, lon: FloatColumn, lat: FloatColumn) -> None:
        """Far away chord and geodesic may favour different points: there the end of an edge is tried as well."""
        found_lon, found_lat = self._along(edge, share)
        metres = geodesic_m(lon[point], lat[point], found_lon, found_lat)
        far = np.flatnonzero((metres > _FAR_M) & (share > 0) & (share < 1))
        end = np.round(share[far])
        end_lon, end_lat = self._along(edge[far], end)
        nearer = geodesic_m(lon[point[far]], lat[point[far]], end_lon, end_lat) <= metres[far]
        share[far[nearer]] = end[nearer]

    def _bettered(self, points: Vectors, edge: Rows, share: FloatColumn, reach: float) -> FloatColumn:
        """One step of a parabola through three points about a share."""
        shares = [np.clip(share + offset, 0, 1) for offset in (-reach, 0.0, reach)]
        low, middle, high = (self._chord_2(points, edge, s) for s in shares)
        bend = low - 2 * middle + high
        shift = np.where(bend > 0, reach * (low - high) / (2 * np.where(bend > 0, bend, 1)), 0)
        better = np.clip(shares[1] + np.clip(shift, -reach, reach), 0, 1)
        tried = np.stack([*shares, better])
        reached = np.stack([low, middle, high, self._chord_2(points, edge, better)])
        return cast(FloatColumn, tried[reached.argmin(axis=0), np.arange(len(share))])

    def _chord_2(self, points: Vectors, edge: Rows, share: FloatColumn) -> FloatColumn:
        """Square of the straight distance to the point at a share of each edge, square metres."""
        difference = vectors(*self._along(edge, share)) - points
        return np.asarray(np.einsum("ij,ij->i", difference, difference), np.float64)


def _ranges(starts: Rows, ends: Rows) -> tuple[Rows, Rows]:
    """Every number from start to end of each range, and the range it belongs to."""
    counts = ends - starts
    of = np.repeat(np.arange(len(starts)), counts)
    shift = np.repeat(starts - (np.cumsum(counts) - counts), counts)
    return of, np.arange(len(of)) + shift


def _norms(differences: Vectors) -> FloatColumn:
    """Lengths; several times faster than ``np.linalg.norm`` on many short rows."""
    return np.asarray(np.sqrt(np.einsum("ij,ij->i", differences, differences)), np.float64)


def _parts(sizes: Rows) -> Iterator[slice]:
    """Slices whose sizes add up to a bounded number, or of one row."""
    ends = np.cumsum(sizes)
    first = 0
    while first < len(sizes):
        done = ends[first - 1] if first else 0
        last = max(int(np.searchsorted(ends, done + _PAIRS_AT_ONCE, side="right")), first + 1)
        yield slice(first, last)
        first = last


def _slices(points: int, others: int) -> Iterator[slice]:
    """Slices of the points, so that a table of points and others stays small."""
    step = max(1, _PAIRS_AT_ONCE // max(others, 1))
    yield from (slice(first, first + step) for first in range(0, points, step))


def _begins(numbers: Rows) -> BoolColumn:
    """Where a run of equal numbers begins."""
    begins = np.ones(len(numbers), bool)
    begins[1:] = numbers[1:] != numbers[:-1]
    return begins


def _chords(points: Vectors, others: Vectors) -> npt.NDArray[np.float64]:
    """Straight distances, shape (points, others), metres; good to a few centimetres."""
    squared = points @ (-2 * others.T)
    squared += (points * points).sum(axis=1)[:, None]
    squared += (others * others).sum(axis=1)[None, :]
    return np.asarray(np.sqrt(np.maximum(squared, 0, out=squared), out=squared), np.float64)


def edges_of(shape: BaseGeometry) -> Edges:
    """The true edges of a polygon or line.

    What lies on a pole, or on the antimeridian and goes on beyond it, is none.
    """
    parts = shapely.get_parts(shape)
    rings = shapely.get_rings(parts) if shape.area else parts
    segments = [np.hstack([c[:-1], c[1:]]) for c in (shapely.get_coordinates(r) for r in rings)]
    return _split(_without_seams(np.vstack(segments) if segments else np.zeros((0, 4))))


def _without_seams(segments: Segments) -> Segments:
    """Leave out what lies on a pole, and what lies on both sides of the antimeridian."""
    lon1, lat1, lon2, lat2 = segments.T
    on_pole = (np.abs(lat1) == 90) & (lat1 == lat2)
    east, west = (lon1 == 180) & (lon2 == 180), (lon1 == -180) & (lon2 == -180)
    rest: Segments = segments[~(on_pole | east | west)]
    if not (east.any() or west.any()):
        return rest
    lines = [shapely.union_all(shapely.linestrings(_upright(segments[side]))) for side in (east, west)]
    open_line = lines[0].symmetric_difference(lines[1])
    seams = [
        np.hstack([c[:-1], c[1:]])
        for c in (shapely.get_coordinates(part) for part in shapely.get_parts(open_line) if part.length > 0)
    ]
    return np.vstack([rest, *[s + np.array([180.0, 0, 180.0, 0]) for s in seams]])


def _upright(segments: Segments) -> npt.NDArray[np.float64]:
    """Seam segments as lines at longitude 0, shape (n, 2, 2)."""
    zero = np.zeros(len(segments))
    return np.stack([np.column_stack([zero, segments[:, 1]]), np.column_stack([zero, segments[:, 3]])], axis=1)


def _split(segments: Segments) -> Edges:
    """Segments cut into pieces of at most a quarter of a degree."""
    lon1, lat1, lon2, lat2 = segments.T
    longest = np.maximum(np.abs(lon2 - lon1), np.abs(lat2 - lat1))
    pieces = np.maximum(np.ceil(longest / _LONGEST_STEP_DEG).astype(int), 1)
    of = np.repeat(np.arange(len(segments)), pieces)
    number = np.arange(len(of)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    low, high = number / pieces[of], (number + 1) / pieces[of]
    lon_run, lat_run = (lon2 - lon1)[of], (lat2 - lat1)[of]
    return Edges(
        lon1[of] + low * lon_run, lat1[of] + low * lat_run, lon1[of] + high * lon_run, lat1[of] + high * lat_run
    )


def edge_groups(region: BaseGeometry, parts: Sequence[tuple[BaseGeometry, float]]) -> list[tuple[Edges, float]]:
    """The edges of a region made of parts, grouped by the error in metres of the part each edge belongs to.

    Where an edge belongs to several parts, or to none that is found, the largest error counts.
    """
    edges = edges_of(region)
    if not len(edges):
        return [(edges, 0.0)]
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
