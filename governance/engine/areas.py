"""Places on a paper as areas: how a specimen's shape lies to one, and how many metres off (VERDICTS section 4)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from governance.engine.edges import EdgePool, Edges, edge_groups, edges_of
from governance.engine.geodesy import Vectors, disc_polygon, geodesic_m, holds, vectors
from governance.engine.tables import (
    BoolColumn,
    FloatColumn,
    HouseRules,
    PlaceItem,
    Places,
    Position,
    Rows,
)

Disc = tuple[float, float, float]
"""Centre and radius of a circle: longitude_deg, latitude_deg, radius_m."""

_HALF_EARTH_M = 3_000_000.0
"""A ball this large may hold points of a region that lies outside it, such as a polar cap."""
_TOUCH_M = 1e-6
"""A distance this near to the limit counts as touching: rounding must not decide."""


class Shapes:
    """The specimens' shapes, shape (n_places,) each: a disc about a centre, or a footprint without radius of its own.

    longitude_deg, latitude_deg: the centre on WGS84; NaN where there is no position. reach_m: the whole radius held
    against, datum allowance included. radius_unknown: a point whose radius nobody wrote. datum_assumed: likewise.
    """

    def __init__(self, places: Places, house: HouseRules) -> None:
        self.places = places
        self.is_point = places.position == Position.POINT
        self.footprint_rows = np.flatnonzero(places.position == Position.FOOTPRINT)
        self.located = self.is_point | (places.position == Position.FOOTPRINT)
        self.longitude_deg, self.latitude_deg = _centres(places, self.footprint_rows)
        self.radius_unknown = self.is_point & np.isnan(places.radius_m)
        self.datum_assumed = self.located & ~places.datum_known
        assumed = np.maximum(places.precision_radius_m, house.assumed_radius_m or 0.0)
        radius = np.where(np.isnan(places.radius_m), assumed, places.radius_m)
        radius = np.where(places.position == Position.FOOTPRINT, 0.0, radius)
        self.reach_m = radius + np.where(self.datum_assumed, house.datum_allowance_m, 0.0)

    @cached_property
    def vectors(self) -> Vectors:
        """The centres as earth-centred positions in metres, shape (n_places, 3)."""
        return vectors(self.longitude_deg, self.latitude_deg)

    @cached_property
    def is_footprint(self) -> BoolColumn:
        """Places whose shape is a footprint."""
        flags = np.zeros(len(self.places), bool)
        flags[self.footprint_rows] = True
        return flags


def _centres(places: Places, footprint_rows: Rows) -> tuple[FloatColumn, FloatColumn]:
    """The stated point, else the mean of a footprint's vertices (the closing one not counted twice)."""
    longitude_deg, latitude_deg = places.longitude_deg.copy(), places.latitude_deg.copy()
    for row in footprint_rows.tolist():
        shape = places.footprint[row]
        if shape is not None and np.isnan(longitude_deg[row]):
            vertices = _vertices(shape)
            first = vertices[0, 0]
            # A shape on both sides of the antimeridian is one shape.
            unwrapped = first + (vertices[:, 0] - first + 180) % 360 - 180
            longitude_deg[row] = (unwrapped.mean() + 180) % 360 - 180
            latitude_deg[row] = vertices[:, 1].mean()
    return longitude_deg, latitude_deg


def _vertices(shape: BaseGeometry) -> FloatColumn:
    """Vertices of a shape, shape (n, 2), a ring's closing one left out."""
    parts = shapely.get_parts(shape)
    rings = shapely.get_rings(parts) if shape.area else parts
    rows = [shapely.get_coordinates(ring) for ring in rings]
    return np.vstack([r[:-1] if len(r) > 1 and (r[0] == r[-1]).all() else r for r in rows])


@dataclass(frozen=True)
class Relation:
    """How each shape lies to an area, shape (n_rows,) each: within, apart, or neither (it touches an edge).

    within, apart: wholly inside or outside, farther from every edge than reach and error. signed_m: metres from the
    centre to the nearest edge, negative inside; NaN where a shape is so far off that nobody has asked yet.
    """

    within: BoolColumn
    apart: BoolColumn
    signed_m: FloatColumn

    def take(self, rows: Rows) -> Relation:
        """The rows as a relation of their own."""
        return Relation(self.within[rows], self.apart[rows], self.signed_m[rows])


class Area:
    """A mapped place, or the union of several: a region with edges, or an exact circle.

    groups: the edges that share an error, and that error in metres. disc: longitude_deg, latitude_deg, radius_m; a
    circle has neither region nor groups.
    """

    def __init__(
        self,
        region: BaseGeometry | None,
        groups: list[tuple[Edges, float]],
        disc: Disc | None = None,
    ) -> None:
        self.region = region
        self.groups = groups
        self.disc = disc
        self.error_m = max((error_m for _, error_m in groups), default=0.0)
        self._known: Relation | None = None
        self._known_at: Rows = np.zeros(0, np.int32)

    @classmethod
    def of_shape(cls, shape: BaseGeometry, error_m: float) -> Area:
        """The area of a polygon in longitude and latitude, whose edges have one error."""
        return cls(shape, [(edges_of(shape), error_m)])

    @classmethod
    def of_disc(cls, disc: Disc, error_m: float) -> Area:
        """The area of a circle, whose edge has an error."""
        area = cls(None, [], disc)
        area.error_m = error_m
        return area

    @classmethod
    def union(cls, areas: list[Area]) -> Area | None:
        """One area of several; None where a circle about a pole cannot be drawn as a polygon."""
        drawn = [(a.region if a.disc is None else disc_polygon(*a.disc), a.error_m) for a in areas]
        parts = [(shape, error_m) for shape, error_m in drawn if shape is not None]
        if len(parts) < len(areas):
            return None
        region = shapely.union_all([shape for shape, _ in parts])
        return cls(region, edge_groups(region, parts))

    def relate(self, shapes: Shapes, rows: Rows) -> Relation:
        """How the shapes of the given rows (all located) lie to the area."""
        if self._known is not None and (self._known_at[rows] >= 0).all():
            return self._known.take(self._known_at[rows])
        return relate_all([(self, rows)], shapes)[0]

    def keep(self, rows: Rows, relation: Relation, count: int) -> None:
        """Keep what is known of some rows of count, so that it need not be found again."""
        self._known, self._known_at = relation, np.full(count, -1, np.int32)
        self._known_at[rows] = np.arange(len(rows))

    def signed_m(self, shapes: Shapes, rows: Rows) -> FloatColumn:
        """Metres from each centre to the nearest edge, negative inside."""
        return signed_all([(self, rows)], shapes)[0]

    def at_least_m(self, shapes: Shapes, rows: Rows, *, beyond_m: FloatColumn | float = np.inf) -> FloatColumn:
        """Metres that each centre is at least from the nearest edge; 0 where nothing cheap is known.

        beyond_m: what is farther than this by the coarsest bound is not looked at closer.
        """
        if self.disc is not None:
            return np.zeros(len(rows))
        points = shapes.vectors[rows]
        bounds = [edges.at_least_m(points, beyond_m=beyond_m) for edges, _ in self.groups]
        return np.asarray(np.min(bounds, axis=0), np.float64)

    def sort_out(self, shapes: Shapes, rows: Rows, relation: Relation) -> Rows:
        """Settle the points that a cheap bound shows to be farther from every edge than reach and error.

        Returns:
            the places, within rows, of the points that must be measured.
        """
        points = np.flatnonzero(~shapes.is_footprint[rows])
        if self.disc is not None:
            return points
        limit = shapes.reach_m[rows[points]] + self.error_m + 1.0
        clear = self.at_least_m(shapes, rows[points], beyond_m=limit) > limit
        inner = points[clear & self._near_ball(shapes, rows[points])]
        relation.apart[points[clear]] = True
        inside = self.holds(shapes, rows[inner])
        relation.within[inner], relation.apart[inner] = inside, ~inside
        return points[~clear]

    def _near_ball(self, shapes: Shapes, rows: Rows) -> BoolColumn:
        """Points that may lie inside: those in the ball about the edges (all, where there is no edge)."""
        near = np.zeros(len(rows), bool)
        for edges, _ in self.groups:
            if not len(edges) or edges.ball[1] > _HALF_EARTH_M:
                return np.ones(len(rows), bool)
            centre, radius = edges.ball
            near |= np.linalg.norm(shapes.vectors[rows] - centre, axis=1) <= radius
        return near

    def holds(self, shapes: Shapes, rows: Rows) -> BoolColumn:
        """Centres in the closed region, bool, shape (n_rows,). Not for a circle."""
        return holds(self.region, shapes.longitude_deg[rows], shapes.latitude_deg[rows])

    def relate_footprint(self, shapes: Shapes, row: int, place: int, relation: Relation) -> None:
        """Write one row of a relation: the whole footprint decides, the metres are those of its centre."""
        footprint = shapes.places.footprint[row]
        relation.signed_m[place] = self.signed_m(shapes, np.array([row]))[0]
        if footprint is None:
            return
        reach = shapes.reach_m[row] + _TOUCH_M
        if self.disc is not None:
            nearest, farthest = _span_m(self.disc, footprint)
            relation.within[place] = self.disc[2] - farthest - self.error_m > reach
            relation.apart[place] = nearest - self.disc[2] - self.error_m > reach
            return
        clear = min(_gap_m(footprint, edges) - error_m for edges, error_m in self.groups) > reach
        relation.within[place] = clear and shapely.covers(self.region, footprint)
        relation.apart[place] = clear and shapely.disjoint(self.region, footprint)


def _span_m(disc: tuple[float, float, float], footprint: BaseGeometry) -> tuple[float, float]:
    """Metres from the centre of a circle to the nearest and the farthest point of a footprint."""
    lon, lat = np.array([disc[0]]), np.array([disc[1]])
    edges = edges_of(footprint)
    count = len(edges)
    far = geodesic_m(np.repeat(lon, count), np.repeat(lat, count), edges.lon1, edges.lat1).max()
    inside = bool(footprint.area) and bool(holds(footprint, lon, lat)[0])
    return 0.0 if inside else float(edges.distance_m(lon, lat)[0]), float(far)


Request = tuple[Area, Rows]
"""An area, and the rows of the shapes that are held against it."""


def relate_all(requests: Sequence[Request], shapes: Shapes) -> list[Relation]:
    """How shapes lie to many areas, a relation a request; what must be measured is measured in one go.

    All rows asked for must have a position.
    """
    relations, unclear = [], []
    for area, rows in requests:
        count = len(rows)
        relation = Relation(np.zeros(count, bool), np.zeros(count, bool), np.full(count, np.nan))
        unclear.append(area.sort_out(shapes, rows, relation))
        for place in np.flatnonzero(shapes.is_footprint[rows]).tolist():
            area.relate_footprint(shapes, int(rows[place]), place, relation)
        relations.append(relation)
    measured = [(area, rows[places]) for (area, rows), places in zip(requests, unclear, strict=True)]
    signed, margins = _measured(measured, shapes, near_only=True)
    for (_, rows), places, relation, metres, margin in zip(measured, unclear, relations, signed, margins, strict=True):
        clear = margin > shapes.reach_m[rows] + _TOUCH_M
        relation.within[places] = (metres < 0) & clear
        relation.apart[places] = (metres >= 0) & clear
        relation.signed_m[places] = np.where(np.isinf(metres), np.nan, metres)
    return relations


def signed_all(requests: Sequence[Request], shapes: Shapes) -> list[FloatColumn]:
    """Metres from the centres to the nearest edges of many areas, negative inside, a column a request."""
    return _measured(requests, shapes)[0]


def _measured(
    requests: Sequence[Request], shapes: Shapes, *, near_only: bool = False
) -> tuple[list[FloatColumn], list[FloatColumn]]:
    """Signed metres to the nearest edge, and the least metres to an edge after taking off its error.

    near_only: a distance larger than reach and error may come as infinity.
    """
    distances = _pooled(requests, shapes, near_only=near_only)
    signed, margins = [], []
    for (area, rows), by_group in zip(requests, distances, strict=True):
        if area.disc is not None:
            metres = _disc_m(area.disc, shapes, rows)
            margin = np.abs(metres) - area.error_m
        else:
            distance = np.min([d for d, _ in by_group], axis=0)
            metres = np.where(area.holds(shapes, rows), -distance, distance)
            margin = np.min([d - error_m for d, error_m in by_group], axis=0)
        signed.append(metres)
        margins.append(margin)
    return signed, margins


def _pooled(requests: Sequence[Request], shapes: Shapes, *, near_only: bool) -> list[list[tuple[FloatColumn, float]]]:
    """For each request and each group of edges with one error: the metres, and the error."""
    asked = [(edges, rows) for area, rows in requests for edges, _ in area.groups]
    pool = EdgePool([edges for edges, _ in asked])
    member = np.repeat(np.arange(len(asked)), [len(rows) for _, rows in asked])
    nothing: Rows = np.zeros(0, np.int64)
    row = np.concatenate([rows for _, rows in asked] or [nothing])
    error_m = np.repeat([area.error_m for area, _ in requests for _ in area.groups], [len(rows) for _, rows in asked])
    beyond_m = shapes.reach_m[row] + error_m + 1.0 if near_only else None
    metres = pool.distance_m(member, shapes.longitude_deg[row], shapes.latitude_deg[row], beyond_m)
    parts = iter(np.split(metres, np.cumsum([len(rows) for _, rows in asked])[:-1]) if asked else [])
    return [[(next(parts), error_m) for _, error_m in area.groups] for area, _ in requests]


def _disc_m(disc: Disc, shapes: Shapes, rows: Rows) -> FloatColumn:
    """Metres to a circle, negative inside: exact."""
    centre_lon, centre_lat, radius_m = disc
    count = len(rows)
    lon, lat = np.full(count, centre_lon), np.full(count, centre_lat)
    return geodesic_m(lon, lat, shapes.longitude_deg[rows], shapes.latitude_deg[rows]) - radius_m


def _gap_m(footprint: BaseGeometry, edges: Edges) -> float:
    """Metres between the boundary of a footprint and the edges of a region; 0 where they meet.

    The shortest way between two polylines that do not cross starts or ends at a vertex.
    """
    outline = footprint.boundary if footprint.area else footprint
    if not len(edges):
        return np.inf
    if shapely.intersects(outline, _lines(edges)):
        return 0.0
    own = _vertices(footprint)
    there = edges.distance_m(own[:, 0], own[:, 1]).min()
    back = edges_of(footprint).distance_m(edges.lon1, edges.lat1).min()
    return float(min(there, back))


def _lines(edges: Edges) -> BaseGeometry:
    """The edges as one geometry, so that what meets them can be found at once."""
    pairs = np.stack([np.column_stack([edges.lon1, edges.lat1]), np.column_stack([edges.lon2, edges.lat2])], axis=1)
    return shapely.multilinestrings(shapely.linestrings(pairs))


def item_error_m(item: PlaceItem, outline_error_m: float) -> float:
    """Metres of error of a place's boundary: as stated; else that of an outline, 0 for a drawn shape or a circle."""
    if item.boundary_error_m is not None:
        return item.boundary_error_m
    return outline_error_m if item.country or item.subdivision else 0.0
