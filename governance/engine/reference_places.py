"""The twin of the engine, part three: places (section 4 of the contract), one specimen against one version.

Shapes are longitude, latitude in degrees on WGS84; distances are geodesic metres. Containment is a crossing test in
longitude and latitude; the distance to an edge is sought along the edge, piece by piece.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely
from geographiclib.geodesic import Geodesic
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from governance.engine.reference_taxa import Answer, Reply, reply
from governance.engine.tables import Finding, HouseRules, Layer, Outlines, PlaceItem, Places, Position, Version

AT_SEA_M = 370_400.0
"""200 nautical miles of 1852 m (section 4)."""

TOUCHING_M = 1e-6
"""A distance that exceeds the limit by no more than this touches (decision record 1)."""

LAYERS_WITHOUT_JURISDICTION = frozenset({Layer.IMPORT, Layer.CITES, Layer.TRANSFER})

Point = tuple[float, float]


class Edge(NamedTuple):
    """A piece of outline, straight in longitude and latitude."""

    start: Point
    end: Point


# ----------------------------------------------------------------------------------- distances and containment


def metres_between(one: Point, other: Point) -> float:
    """Geodesic distance on WGS84 of two (longitude, latitude) points."""
    return float(Geodesic.WGS84.Inverse(one[1], one[0], other[1], other[0])["s12"])


def _chord_m(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    return math.dist(one, other)


def _in_space(point: Point) -> tuple[float, float, float]:
    """Geocentric coordinates in metres: nearest through the earth is nearest over it, and much cheaper to try."""
    a, f = Geodesic.WGS84.a, Geodesic.WGS84.f
    e2 = f * (2 - f)
    lon, lat = math.radians(point[0]), math.radians(point[1])
    n = a / math.sqrt(1 - e2 * math.sin(lat) ** 2)
    return (n * math.cos(lat) * math.cos(lon), n * math.cos(lat) * math.sin(lon), n * (1 - e2) * math.sin(lat))


def _along(edge: Edge, t: float) -> Point:
    (x0, y0), (x1, y1) = edge
    return (x0 + t * (x1 - x0), y0 + t * (y1 - y0))


def _half_length_m(edge: Edge, t0: float, t1: float) -> float:
    """No point of the piece is farther from its middle than this (6 400 000 m is above every radius of curvature)."""
    (x0, y0), (x1, y1) = _along(edge, t0), _along(edge, t1)
    least_latitude = 0.0 if y0 * y1 <= 0 else min(abs(y0), abs(y1))
    width = math.radians(x1 - x0) * math.cos(math.radians(least_latitude))
    return 0.5 * 6_400_000.0 * math.hypot(math.radians(y1 - y0), width)


@lru_cache(maxsize=200_000)
def _piece(edge: Edge, t0: float, t1: float) -> tuple[tuple[float, float, float], float]:
    """The middle of a piece of an edge, in space, and the metres that no point of the piece is farther from it."""
    return _in_space(_along(edge, (t0 + t1) / 2)), _half_length_m(edge, t0, t1)


def metres_to_edges(point: Point, edges: Sequence[Edge]) -> float:
    """Geodesic distance from a point to the nearest of some edges; infinite if there is none.

    Pieces of edges wait in order of the least distance that they could have; the foremost is halved until none could
    be nearer than the best by more than a ten-thousandth (or a millimetre).
    """
    here = _in_space(point)
    waiting: list[tuple[float, int, float, float]] = []
    best, best_place = math.inf, (0, 0.0, 0.0)

    def look_at(number: int, t0: float, t1: float) -> None:
        nonlocal best, best_place
        place, half_length = _piece(edges[number], t0, t1)
        middle = _chord_m(here, place)
        if middle < best:
            best, best_place = middle, (number, t0, t1)
        heapq.heappush(waiting, (middle - half_length, number, t0, t1))

    for number in range(len(edges)):
        look_at(number, 0.0, 1.0)
    while waiting and waiting[0][0] < best - max(1e-3, 1e-4 * best):
        _, number, t0, t1 = heapq.heappop(waiting)
        look_at(number, t0, (t0 + t1) / 2)
        look_at(number, (t0 + t1) / 2, t1)
    if not edges:
        return math.inf
    return metres_between(point, _nearest_near(here, edges[best_place[0]], best_place[1], best_place[2]))


def _nearest_near(here: tuple[float, float, float], edge: Edge, t0: float, t1: float) -> Point:
    """The nearest point of an edge, by thirds, around the piece that holds it or is its neighbour."""
    width = t1 - t0
    low, high = max(0.0, t0 - 2 * width), min(1.0, t1 + 2 * width)
    ends = [low, high]
    for _ in range(120):
        a, b = low + (high - low) / 3, high - (high - low) / 3
        if _chord_m(here, _in_space(_along(edge, a))) <= _chord_m(here, _in_space(_along(edge, b))):
            high = b
        else:
            low = a
    tried = [_along(edge, t) for t in (*ends, (low + high) / 2)]
    return min(tried, key=lambda place: _chord_m(here, _in_space(place)))


def polygons_of(shape: BaseGeometry) -> list[Polygon]:
    if isinstance(shape, Polygon):
        return [shape] if not shape.is_empty else []
    return [part for piece in getattr(shape, "geoms", ()) for part in polygons_of(piece)]


def edges_of(shape: BaseGeometry) -> list[Edge]:
    """Edges of an area. Edges along a pole are points, and edges on +-180 that continue on the other side are none."""
    edges: list[Edge] = []
    seam: dict[float, list[Edge]] = {180.0: [], -180.0: []}
    for polygon in polygons_of(shape):
        for ring in (polygon.exterior, *polygon.interiors):
            for edge in _edges_of_line(ring.coords):
                (x0, y0), (x1, y1) = edge
                if abs(y0) == 90.0 and y0 == y1:
                    continue
                (seam[x0] if x0 == x1 and abs(x0) == 180.0 else edges).append(edge)
    for side in (180.0, -180.0):
        edges += [piece for edge in seam[side] for piece in _not_continued(edge, seam[-side])]
    return edges


def _edges_of_line(coords: Sequence[tuple[float, ...]]) -> Iterator[Edge]:
    points = [(float(c[0]), float(c[1])) for c in coords]
    yield from (Edge(a, b) for a, b in pairwise(points) if a != b)


def _not_continued(edge: Edge, across: Sequence[Edge]) -> list[Edge]:
    """The parts of an edge on the seam that no edge on its other side meets."""
    x = edge.start[0]
    left = [tuple(sorted((edge.start[1], edge.end[1])))]
    for other in across:
        low, high = sorted((other.start[1], other.end[1]))
        left = [(a, b) for s, n in left for a, b in ((s, min(n, low)), (max(s, high), n)) if a < b]
    return [Edge((x, a), (x, b)) for a, b in left]


def holds_point(shape: BaseGeometry, point: Point) -> bool:
    """True if the area, edges counted, holds the point; +180 and -180 are one, and every longitude is the pole."""
    lon, lat = point
    polygons = polygons_of(shape)
    if abs(lat) == 90.0:
        return any(c[1] == lat for polygon in polygons for c in polygon.exterior.coords)
    longitudes = (180.0, -180.0) if abs(lon) == 180.0 else (lon,)
    return any(_polygon_holds(polygon, (x, lat)) for polygon in polygons for x in longitudes)


def _polygon_holds(polygon: Polygon, point: Point) -> bool:
    west, south, east, north = polygon.bounds
    if not (west <= point[0] <= east and south <= point[1] <= north):
        return False
    rings = [list(_edges_of_line(ring.coords)) for ring in (polygon.exterior, *polygon.interiors)]
    if any(_is_on(edge, point) for ring in rings for edge in ring):
        return True
    return _crosses_oddly(rings[0], point) and not any(_crosses_oddly(hole, point) for hole in rings[1:])


def _crosses_oddly(ring: Sequence[Edge], point: Point) -> bool:
    """A ray from the point to the east crosses the ring an odd number of times."""
    odd = False
    for edge in ring:
        (x0, y0), (x1, y1) = sorted(edge, key=lambda c: (c[1], c[0]))
        if y0 <= point[1] < y1 and point[0] < x0 + (point[1] - y0) * (x1 - x0) / (y1 - y0):
            odd = not odd
    return odd


def _is_on(edge: Edge, point: Point) -> bool:
    (x0, y0), (x1, y1), (x, y) = edge.start, edge.end, point
    between = min(x0, x1) <= x <= max(x0, x1) and min(y0, y1) <= y <= max(y0, y1)
    return between and (x1 - x0) * (y - y0) == (y1 - y0) * (x - x0)


@lru_cache(maxsize=256)
def circle_as_polygon(disc: tuple[float, float, float], corners: int = 720) -> BaseGeometry:
    """A disc as a polygon of geodesic vertices, cut at +-180, closed over the pole that it holds."""
    lon, lat, radius_m = disc[0], disc[1], max(disc[2], 0.01)  # a point alone is kept as a speck of a centimetre
    around = [Geodesic.WGS84.Direct(lat, lon, 360.0 * k / corners, radius_m) for k in range(corners)]
    for pole in (90.0, -90.0):
        if metres_between((lon, lat), (lon, pole)) < radius_m:
            rim = sorted((float(p["lon2"]), float(p["lat2"])) for p in around)
            seam_latitude = (rim[0][1] + rim[-1][1]) / 2
            top = [(float(x), pole) for x in range(180, -181, -90)]
            return Polygon([(-180.0, seam_latitude), *rim, (180.0, seam_latitude), *top])
    rim = [(lon + (float(p["lon2"]) - lon + 540.0) % 360.0 - 180.0, float(p["lat2"])) for p in around]
    whole = Polygon(rim)
    parts: list[Polygon] = []
    for turn in (-360.0, 0.0, 360.0):
        cut = whole.intersection(box(turn - 180.0, -90.0, turn + 180.0, 90.0))
        parts += [Polygon([(x - turn, y) for x, y in part.exterior.coords]) for part in polygons_of(cut)]
    return MultiPolygon(parts)


# ----------------------------------------------------------------------------------------- S, and places mapped


@dataclass(frozen=True)
class Spot:
    """The specimen as a shape S: a disc, or a footprint with its centre. radius_m holds the datum allowance."""

    centre: Point
    radius_m: float
    footprint: BaseGeometry | None = None


@dataclass(frozen=True)
class Mapped:
    """A place with a shape (``disc`` if it is a circle; then ``shape`` is its polygon), and the error of its edge."""

    shape: BaseGeometry
    error_m: float
    disc: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class Standing:
    """How S stands to an area. edge_m: metres from the centre of S to the nearest edge, negative inside."""

    edge_m: float
    wholly_inside: bool
    wholly_outside: bool


def mapped(item: PlaceItem, outlines: Outlines) -> Mapped | None:
    """The shape of a listed place and the error of its edge; None if the place is not mapped."""
    stated = item.boundary_error_m
    if item.disc is not None:
        return Mapped(circle_as_polygon(item.disc), 0.0 if stated is None else stated, item.disc)
    if item.shape is not None:
        return Mapped(item.shape, 0.0 if stated is None else stated)
    outline = outlines.countries.get(item.country) if item.country else outlines.subdivisions.get(item.subdivision)
    return None if outline is None else _mapped_outline(item, outline, outlines)


def mapped_in_doubt(item: PlaceItem, outlines: Outlines) -> Mapped | None:
    """What only the widest reading of a listed country holds; None where there is no such land (record 1)."""
    wide = (outlines.stated or {}).get(item.country) if item.country else None
    own = outlines.countries.get(item.country)
    if wide is None or own is None:
        return None
    doubtful = wide.difference(own)
    return None if doubtful.is_empty else _mapped_outline(item, doubtful, outlines)


def _mapped_outline(item: PlaceItem, outline: BaseGeometry, outlines: Outlines) -> Mapped:
    stated = item.boundary_error_m
    return Mapped(outline, outlines.boundary_error_m if stated is None else stated)


@lru_cache(maxsize=4096)
def standing(spot: Spot, places: tuple[Mapped, ...]) -> Standing:
    """How S stands to the union of some places. An edge between two that meet is no edge of the union."""
    if len(places) == 1 and places[0].disc is not None and spot.footprint is None:
        return _standing_to_circle(spot, places[0].disc, places[0].error_m)
    region = shapely.unary_union([place.shape for place in places])
    return standing_to_region(spot, region, places, any(holds_point(p.shape, spot.centre) for p in places))


def _standing_to_circle(spot: Spot, disc: tuple[float, float, float], error_m: float) -> Standing:
    edge_m = metres_between(spot.centre, disc[:2]) - disc[2]
    reach_m = spot.radius_m + error_m + TOUCHING_M
    return Standing(edge_m, wholly_inside=-edge_m > reach_m, wholly_outside=edge_m > reach_m)


def standing_to_region(spot: Spot, region: BaseGeometry, owners: Sequence[Mapped], holds_centre: bool) -> Standing:
    """How S stands to a region whose edges belong to the owners; each edge is held against radius + its own error."""
    by_error = _edges_by_error(edges_of(region), owners)
    to_centre_m = min((metres_to_edges(spot.centre, edges) for edges in by_error.values()), default=math.inf)
    clear_of_edges = all(
        _gap_to_edges_m(spot, edges) > spot.radius_m + error_m + TOUCHING_M for error_m, edges in by_error.items()
    )
    if spot.footprint is None:
        inside, outside = holds_centre, not holds_centre
    else:
        inside, outside = bool(region.covers(spot.footprint)), not region.intersects(spot.footprint)
    return Standing(
        -to_centre_m if holds_centre else to_centre_m, inside and clear_of_edges, outside and clear_of_edges
    )


def _edges_by_error(edges: Sequence[Edge], owners: Sequence[Mapped]) -> dict[float, list[Edge]]:
    """Edges of a union under the error of the place that each belongs to; of several places the largest."""
    errors = sorted({owner.error_m for owner in owners}, reverse=True)
    if len(errors) == 1:
        return {errors[0]: list(edges)}
    found: dict[float, list[Edge]] = {}
    rims = [(owner.error_m, owner.shape.boundary) for owner in owners]
    for edge in edges:
        middle = shapely.Point(_along(edge, 0.5))
        of_owners = [error_m for error_m, rim in rims if rim.distance(middle) < 1e-9]
        found.setdefault(max(of_owners, default=errors[0]), []).append(edge)
    return found


def _gap_to_edges_m(spot: Spot, edges: Sequence[Edge]) -> float:
    """Metres between S (a disc: its centre) and some edges; 0 where a footprint crosses one."""
    if spot.footprint is None:
        return metres_to_edges(spot.centre, edges)
    own = list(_lines_of(spot.footprint))
    lines = shapely.MultiLineString([[edge.start, edge.end] for edge in edges])
    if any(shapely.LineString([edge.start, edge.end]).intersects(lines) for edge in own):
        return 0.0
    there = min((metres_to_edges(edge.start, edges) for edge in own), default=math.inf)
    last = min((metres_to_edges(edge.end, edges) for edge in own[-1:]), default=math.inf)
    corners = {corner for edge in edges for corner in edge}
    back = min((metres_to_edges(corner, own) for corner in corners), default=math.inf)
    return min(there, last, back)


def _lines_of(footprint: BaseGeometry) -> Iterator[Edge]:
    if polygons_of(footprint):
        for polygon in polygons_of(footprint):
            for ring in (polygon.exterior, *polygon.interiors):
                yield from _edges_of_line(ring.coords)
    else:
        yield from _edges_of_line(list(footprint.coords))


def spot_of(places: Places, row: int, house: HouseRules) -> Spot:
    """S of a place statement that has coordinates: the radius with its stand-in and the datum allowance."""
    footprint = places.footprint[row] if places.position[row] == Position.FOOTPRINT else None
    radius_m = 0.0 if footprint is not None else _disc_radius_m(places, row, house)
    if not places.datum_known[row]:
        radius_m += house.datum_allowance_m
    centre = (float(places.longitude_deg[row]), float(places.latitude_deg[row]))
    if footprint is not None and (math.isnan(centre[0]) or math.isnan(centre[1])):
        centre = _mean_of_vertices(footprint)
    return Spot(centre, radius_m, footprint)


def _disc_radius_m(places: Places, row: int, house: HouseRules) -> float:
    stated = float(places.radius_m[row])
    if not math.isnan(stated):
        return stated
    return max(float(places.precision_radius_m[row]), house.assumed_radius_m or 0.0)


def _mean_of_vertices(footprint: BaseGeometry) -> Point:
    """The mean of the vertices, a closing vertex not counted twice, longitudes taken the short way round."""
    lines = [ring.coords for p in polygons_of(footprint) for ring in (p.exterior, *p.interiors)] or [footprint.coords]
    corners: list[Point] = []
    for line in lines:
        points = [(float(c[0]), float(c[1])) for c in line]
        corners += points[:-1] if len(points) > 1 and points[0] == points[-1] else points
    first = corners[0][0]
    lon = first + sum((x - first + 540.0) % 360.0 - 180.0 for x, _ in corners) / len(corners)
    return ((lon + 540.0) % 360.0 - 180.0, sum(y for _, y in corners) / len(corners))


# ------------------------------------------------------------------------------------------ the table of section 4


@dataclass(frozen=True)
class Grounds:
    """What one version says of places for one layer.

    everywhere: no included place limits it. stands_in: the jurisdiction stands in for included places.
    nowhere_said: neither places nor a jurisdiction, where the jurisdiction would stand in.
    """

    include: tuple[PlaceItem, ...]
    exclude: tuple[PlaceItem, ...]
    everywhere: bool = False
    stands_in: bool = False
    nowhere_said: bool = False


def grounds_of(version: Version, jurisdiction: str, layer: Layer) -> Grounds:
    """Section 4: places included and excluded, with what stands in for places that are not listed."""
    if version.include_places:
        return Grounds(version.include_places, version.exclude_places)
    if layer in LAYERS_WITHOUT_JURISDICTION:
        return Grounds((), version.exclude_places, everywhere=True)
    if not jurisdiction:
        return Grounds((), version.exclude_places, nowhere_said=True)
    is_subdivision = "-" in jurisdiction
    item = PlaceItem(subdivision=jurisdiction) if is_subdivision else PlaceItem(country=jurisdiction)
    return Grounds((item,), version.exclude_places, stands_in=True)


class PlaceTest:
    """The place test of one specimen's place statement against one version of one paper (section 4)."""

    def __init__(self, places: Places, row: int, grounds: Grounds, outlines: Outlines, house: HouseRules) -> None:
        self.places, self.row, self.grounds, self.outlines, self.house = places, row, grounds, outlines, house
        self.position = Position(int(places.position[row]))
        self.sites = tuple(places.sites[row])
        self.included = [(item, mapped(item, outlines)) for item in grounds.include]
        self.excluded = [(item, mapped(item, outlines)) for item in grounds.exclude]

    @property
    def has_coordinates(self) -> bool:
        return self.position in (Position.POINT, Position.FOOTPRINT)

    @property
    def _stated_country(self) -> str:
        """countryCode, else the country of a subdivision code."""
        return self.places.country[self.row] or self.places.subdivision[self.row].partition("-")[0]

    @property
    def spot(self) -> Spot:
        return spot_of(self.places, self.row, self.house)

    def reply(self) -> Reply:
        """The first row of the table that holds."""
        if self.grounds.everywhere and not self.grounds.exclude:
            return reply(Answer.YES)
        rows: tuple[Callable[[], Reply | None], ...] = (
            self._coordinates_invalid, self._coordinates_generalized, self._country_mismatch, self._radius_unknown,
            self._place_conflict, self._excluded_by_name, self._without_coordinates, self._by_name_unmapped,
            self._wholly_excluded, self._wholly_outside, self._touches_excluded, self._excluded_unmapped,
            self._included_or_edge,
        )  # fmt: skip
        found = (row() for row in rows)
        return next(answer for answer in found if answer is not None)

    def remarks(self, *, by_name: bool = False) -> tuple[Finding, ...]:
        """Remarks on a yes: assumptions only where a mapped place was tested with coordinates."""
        codes = []
        is_mapped = any(place is not None for _, place in (*self.included, *self.excluded))
        if not by_name and is_mapped:
            if self.position == Position.POINT and math.isnan(self.places.radius_m[self.row]):
                codes.append("radius-assumed")
            if not self.places.datum_known[self.row]:
                codes.append("datum-assumed")
        if by_name:
            codes.append("by-name")
        if self.grounds.stands_in:
            codes.append("place-not-stated")
        return tuple(Finding(code) for code in codes)

    def _measured(self, answer: Answer, code: str, metres: float, against: float | None = None) -> Reply:
        limit = self.spot.radius_m if against is None else against
        return Reply(answer, (Finding(code, metres, limit, "m"),))

    def _coordinates_invalid(self) -> Reply | None:
        return reply(Answer.UNKNOWN, "coordinates-invalid") if self.position == Position.INVALID else None

    def _coordinates_generalized(self) -> Reply | None:
        if self.has_coordinates and self.places.generalized[self.row]:
            return reply(Answer.UNKNOWN, "coordinates-generalized")
        return None

    def _country_mismatch(self) -> Reply | None:
        outlines = self.outlines
        outline = (outlines.countries if outlines.stated is None else outlines.stated).get(self._stated_country)
        if not self.has_coordinates or outline is None:
            return None
        spot = self.spot
        stands = standing(spot, (Mapped(outline, self.outlines.boundary_error_m),))
        at_sea = in_no_country(spot.centre, self.outlines) and stands.edge_m <= AT_SEA_M
        if not stands.wholly_outside or at_sea:
            return None
        mismatch = self._measured(Answer.UNKNOWN, "country-mismatch", stands.edge_m)
        return replace(mismatch, findings=(*mismatch.findings, *map(Finding, _slips(spot.centre, outline))))

    def _radius_unknown(self) -> Reply | None:
        unknown = self.position == Position.POINT and math.isnan(self.places.radius_m[self.row])
        return reply(Answer.UNKNOWN, "radius-unknown") if unknown and self.house.assumed_radius_m is None else None

    def _place_conflict(self) -> Reply | None:
        if not self.has_coordinates:
            return None
        for item, place in (*self.included, *self.excluded):
            if item.site and item.site in self.sites and place is not None:
                stands = standing(self.spot, (place,))
                if stands.wholly_outside:
                    return self._measured(Answer.UNKNOWN, "place-conflict", stands.edge_m)
        return None

    def _excluded_by_name(self) -> Reply | None:
        named = any(item.site and item.site in self.sites for item in self.grounds.exclude)
        return reply(Answer.NO, "excluded-area") if named else None

    def _without_coordinates(self) -> Reply | None:
        if self.has_coordinates:
            return None
        if not self.grounds.exclude and any(self._is_named_by(item) for item in self.grounds.include):
            return Reply(Answer.YES, self.remarks(by_name=True))
        return reply(Answer.UNKNOWN, "place-not-stated" if self.grounds.nowhere_said else "place-missing")

    def _is_named_by(self, item: PlaceItem) -> bool:
        """The item is the specimen's site, or the whole of its stated country or subdivision."""
        subdivision = self.places.subdivision[self.row]
        if item.site:
            return item.site in self.sites
        if item.country:
            return item.country == self._stated_country
        return bool(item.subdivision) and item.subdivision == subdivision

    def _by_name_unmapped(self) -> Reply | None:
        named = any(item.site and item.site in self.sites and place is None for item, place in self.included)
        if not named or self._first_touched() is not None or self._excludes_unmapped():
            return None
        return Reply(Answer.YES, self.remarks(by_name=True))

    def _wholly_excluded(self) -> Reply | None:
        for _, place in self.excluded:
            if place is not None:
                stands = standing(self.spot, (place,))
                if stands.wholly_inside:
                    return self._measured(Answer.NO, "excluded-area", stands.edge_m)
        return None

    def _wholly_outside(self) -> Reply | None:
        if self.grounds.everywhere:
            return None
        if self.grounds.nowhere_said:
            return reply(Answer.UNKNOWN, "place-not-stated")
        places = tuple(place for _, place in self.included if place is not None)
        stands = standing(self.spot, places) if places else None
        if any(not standing(self.spot, (place,)).wholly_outside for place in places):
            return None  # each by its own error: the edge of one may lie where another has none
        if stands is None or any(place is None for _, place in self.included):
            return reply(Answer.UNKNOWN, "area-not-mapped")
        if any(self._may_lie_in(item) for item in self.grounds.include):
            return reply(Answer.UNKNOWN, "area-not-mapped")
        only_countries = all(item.country or item.subdivision for item in self.grounds.include)
        if only_countries and stands.edge_m <= AT_SEA_M and in_no_country(self.spot.centre, self.outlines):
            return self._measured(Answer.UNKNOWN, "at-sea", stands.edge_m, AT_SEA_M)
        return self._measured(Answer.NO, "outside-area", stands.edge_m)

    def _may_lie_in(self, item: PlaceItem) -> bool:
        """S touches land that only the widest reading of a listed country holds: the country is unmapped there."""
        doubtful = mapped_in_doubt(item, self.outlines)
        return doubtful is not None and not standing(self.spot, (doubtful,)).wholly_outside

    def _first_touched(self) -> Standing | None:
        stands = (standing(self.spot, (place,)) for _, place in self.excluded if place is not None)
        return next((s for s in stands if not s.wholly_outside), None)

    def _touches_excluded(self) -> Reply | None:
        touched = self._first_touched()
        return None if touched is None else self._measured(Answer.UNKNOWN, "exclusion-edge", touched.edge_m)

    def _excludes_unmapped(self) -> bool:
        """An excluded site is not mapped and the specimen names none; or an excluded country is not mapped there."""
        unmapped = [item for item, place in self.excluded if place is None]
        return any(not item.site or not self.sites for item in unmapped) or any(
            self._may_lie_in(item) for item, place in self.excluded if place is not None
        )

    def _excluded_unmapped(self) -> Reply | None:
        return reply(Answer.UNKNOWN, "area-not-mapped") if self._excludes_unmapped() else None

    def _included_or_edge(self) -> Reply:
        if self.grounds.everywhere:
            return Reply(Answer.YES, self.remarks())
        places = tuple(place for _, place in self.included if place is not None)
        stands = standing(self.spot, places)
        if stands.wholly_inside or any(standing(self.spot, (place,)).wholly_inside for place in places):
            return Reply(Answer.YES, self.remarks())
        return self._measured(Answer.UNKNOWN, "area-edge", stands.edge_m)

    def speaks_of_areas(self) -> bool:
        """True if the area of this version is known well enough around S to be joined with others (section 7.4)."""
        unmapped = [item for item, place in self.excluded if place is None]
        return not self._excludes_unmapped() and not any(item.site in self.sites for item in unmapped)


def in_no_country(point: Point, outlines: Outlines) -> bool:
    """The point lies in no country's outline."""
    if outlines.on_land is not None:
        return not bool(outlines.on_land(np.array([point[0]]), np.array([point[1]]))[0])
    countries: Mapping[str, BaseGeometry] = outlines.countries
    return not any(holds_point(countries[code], point) for code in countries)


def _slips(point: Point, outline: BaseGeometry) -> list[str]:
    """Slips of the pen that would put the point into the stated country: axes swapped, a sign lost."""
    lon, lat = point
    slips = []
    if abs(lon) <= 90.0 and holds_point(outline, (lat, lon)):
        slips.append("swapped")
    if any(holds_point(outline, other) for other in ((-lon, lat), (lon, -lat), (-lon, -lat))):
        slips.append("sign")
    return slips


def joined_holds(tests: Sequence[PlaceTest]) -> bool:
    """Section 7.4, in area: S lies wholly inside the joined areas, farther from every edge than radius + its error."""
    spot = tests[0].spot
    owners: list[Mapped] = []
    areas: list[BaseGeometry] = []
    for test in tests:
        included = [place for _, place in test.included if place is not None]
        excluded = [place for _, place in test.excluded if place is not None]
        world = box(-180.0, -90.0, 180.0, 90.0)
        area = world if test.grounds.everywhere else shapely.unary_union([place.shape for place in included])
        areas.append(area.difference(shapely.unary_union([place.shape for place in excluded])))
        owners += included + excluded
    region = shapely.unary_union(areas)
    return bool(owners) and standing_to_region(spot, region, owners, holds_point(region, spot.centre)).wholly_inside
