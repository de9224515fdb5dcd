"""Containment of generated points against an independent winding test, and distances against their lower bound.

The winding number is counted as in textbooks of computational geometry (from memory), in exact fractions; positions on
the very edge are left to the tests of distance. What this cannot show: edges that follow another line than the straight
one in longitude and latitude, which RFC 7946 asks for.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from governance.engine import Verdict, assess
from governance.engine.edges import edges_of
from governance.engine.geodesy import holds
from governance.engine.tables import PlaceItem
from tests.factories.engine import a_material, a_paper, some_requirements

Point = tuple[float, float]


def side(start: Point, end: Point, point: Point) -> Fraction:
    """Twice the signed area of a triangle: above 0 where the point lies to the left of the edge."""
    (ax, ay), (bx, by), (px, py) = (tuple(map(Fraction, p)) for p in (start, end, point))
    return (bx - ax) * (py - ay) - (px - ax) * (by - ay)


def winding(ring: list[Point], point: Point) -> int:
    """How often a closed ring goes round a point; the point is on no edge."""
    turns = 0
    for start, end in itertools.pairwise(ring):
        if start[1] <= point[1] < end[1] and side(start, end, point) > 0:
            turns += 1
        elif end[1] <= point[1] < start[1] and side(start, end, point) < 0:
            turns -= 1
    return turns


def on_edge(ring: list[Point], point: Point) -> bool:
    for start, end in itertools.pairwise(ring):
        within = all(min(a, b) <= p <= max(a, b) for a, b, p in zip(start, end, point, strict=True))
        if within and side(start, end, point) == 0:
            return True
    return False


@st.composite
def rings(draw: st.DrawFn, across: bool = False) -> list[Point]:
    """A ring that does not cross itself: corners in the order of their angle about a centre; wound either way."""
    centre = (draw(st.floats(-120, 120)) if not across else draw(st.floats(176, 184)), draw(st.floats(-60, 60)))
    reach = draw(st.sampled_from((0.001, 0.1, 3.0, 25.0) if not across else (0.5, 5.0)))
    corners = draw(st.integers(3, 9))
    ring = []
    for k in range(corners):
        angle = 2 * math.pi * (k + draw(st.floats(0, 0.6))) / corners
        far = reach * draw(st.floats(0.3, 1.0))
        ring.append((round(centre[0] + far * math.cos(angle), 9), round(centre[1] + far * math.sin(angle), 9)))
    ring.append(ring[0])
    return ring[::-1] if draw(st.booleans()) else ring


@st.composite
def rings_and_points(draw: st.DrawFn, across: bool = False) -> tuple[list[Point], Point]:
    """A ring, and a point that is level with a corner, on the line of an edge, or anywhere about."""
    ring = draw(rings(across))
    west, east = min(x for x, _ in ring), max(x for x, _ in ring)
    south, north = min(y for _, y in ring), max(y for _, y in ring)
    x = draw(st.one_of(st.floats(west - 0.1, east + 0.1), st.sampled_from([p[0] for p in ring])))
    y = draw(st.one_of(st.floats(max(south - 0.1, -90), min(north + 0.1, 90)), st.sampled_from([p[1] for p in ring])))
    return ring, (x, y)


@given(rings_and_points())
def test_inside_is_where_the_ring_winds_about_the_point(case: tuple[list[Point], Point]) -> None:
    ring, point = case
    shape = Polygon(ring)
    assume(shape.is_valid and not on_edge(ring, point))
    found = bool(holds(shape, np.array([point[0]]), np.array([point[1]]))[0])
    assert found == (winding(ring, point) != 0)


@given(rings_and_points())
def test_a_hole_is_not_inside(case: tuple[list[Point], Point]) -> None:
    """The hole is the same ring, drawn towards a point inside to a 64th of its size; so is the point that is asked."""
    ring, point = case
    shape = Polygon(ring)
    assume(shape.is_valid)
    cx, cy = shape.representative_point().coords[0]
    hole = [(cx + (x - cx) / 64, cy + (y - cy) / 64) for x, y in ring]
    assume(Polygon(hole).is_valid and shape.contains(Polygon(hole)))
    holed = Polygon(ring, [hole])
    for x, y in (point, (cx + (point[0] - cx) / 64, cy + (point[1] - cy) / 64)):
        assume(not on_edge(ring, (x, y)) and not on_edge(hole, (x, y)))
        expected = winding(ring, (x, y)) != 0 and winding(hole, (x, y)) == 0
        assert bool(holds(holed, np.array([x]), np.array([y]))[0]) == expected


def _cut(ring: list[Point]) -> PlaceItem:
    """Cut at the antimeridian as RFC 7946, 3.1.9 asks, by the clipping of one ring at a meridian; own few lines."""
    parts = [_clipped(ring, 1.0), [(x - 360, y) for x, y in _clipped(ring, -1.0)]]
    shapes = [Polygon(part) for part in parts if len(part) > 3]
    return PlaceItem(shape=shapely.union_all([shape for shape in shapes if shape.area > 0]))


def _clipped(ring: list[Point], sign: float) -> list[Point]:
    """The part of a ring at most (sign 1) or at least (sign -1) 180 degrees east (Sutherland and Hodgman, 1974)."""
    kept: list[Point] = []
    for (ax, ay), (bx, by) in itertools.pairwise(ring):
        a_in, b_in = sign * (180 - ax) >= 0, sign * (180 - bx) >= 0
        if a_in:
            kept.append((ax, ay))
        if a_in != b_in:
            kept.append((180.0, ay + (180 - ax) / (bx - ax) * (by - ay)))
    return [*kept, kept[0]] if kept else kept


@given(rings_and_points(across=True))
def test_verdict_across_the_antimeridian_is_that_of_the_uncut_ring(case: tuple[list[Point], Point]) -> None:
    """With a radius of a millimetre, away from every edge: covered where the uncut ring winds about the point."""
    ring, (x, y) = case
    item = _cut(ring)
    assume(Polygon(ring).is_valid and item.shape is not None and item.shape.is_valid)
    assume(Polygon(ring).exterior.distance(shapely.Point(x, y)) > 1e-6)
    paper = a_paper()
    (version,) = paper.versions
    paper = replace(paper, versions=(replace(version, include_places=(item,)),))
    material = a_material([{"place": (x if x <= 180 else x - 360, y, 0.001)}])
    expected = Verdict.COVERED if winding(ring, (x, y)) else Verdict.OUTSIDE
    assert assess(material, [paper], some_requirements()).verdict[0, 0] == expected


@given(rings_and_points())
def test_no_vertex_is_nearer_than_the_nearest_edge(case: tuple[list[Point], Point]) -> None:
    """The distance is at most that to any corner and to any middle of an edge, by geographiclib."""
    ring, (x, y) = case
    shape = Polygon(ring)
    assume(shape.is_valid and shape.area > 0)
    found = float(edges_of(shape).distance_m(np.array([x]), np.array([y]))[0])
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in itertools.pairwise(ring)]
    nearest = min(Geodesic.WGS84.Inverse(y, x, lat, lon)["s12"] for lon, lat in (*ring, *middles))
    assert found <= nearest + max(1.0, 0.005 * nearest)
