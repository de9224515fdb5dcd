"""The twin's geometry against published check values and against sums that can be done by hand."""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path

import pytest
import shapely
from shapely.geometry import Polygon, box

from governance.engine.reference_places import (
    Edge,
    Mapped,
    Spot,
    circle_as_polygon,
    edges_of,
    holds_point,
    metres_between,
    metres_to_edges,
    standing,
)
from tests.factories.engine import a_shape

CHECK_VALUES = Path(__file__).parents[3] / "data" / "geo_check_values.csv"

DEGREE_OF_LONGITUDE_M = 111_319.491  # on the equator, check value G046
DEGREE_OF_LATITUDE_M = 110_574.389  # at the equator, check value G047


def inverse_check_values() -> list[tuple[str, list[float], float]]:
    """Check values of category "geodesic": two points in latitude, longitude and their distance in metres."""
    found = []
    with CHECK_VALUES.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            numbers = re.findall(r"-?\d+(?:\.\d+)?", row["point"].split("(")[0])
            if row["check"] == "inverse distance on WGS84" and len(numbers) == 4:
                metres = float(re.match(r"[\d.]+", row["expectation"])[0])  # type: ignore[index]
                found.append((row["id"], [float(x) for x in numbers], metres))
    return found


@pytest.mark.parametrize(
    ("number", "points", "metres"), inverse_check_values(), ids=lambda x: x if type(x) is str else ""
)
def test_distance_is_the_published_one(number: str, points: list[float], metres: float) -> None:
    lat1, lon1, lat2, lon2 = points
    assert metres_between((lon1, lat1), (lon2, lat2)) == pytest.approx(metres, abs=1.0), number


def test_there_are_published_distances() -> None:
    assert len(inverse_check_values()) >= 20


def test_nearest_point_is_inside_an_edge() -> None:
    """One degree south of the equator: the nearest point of an edge along the equator is straight above."""
    edge = Edge((-1.0, 0.0), (3.0, 0.0))
    assert metres_to_edges((0.7, -1.0), [edge]) == pytest.approx(DEGREE_OF_LATITUDE_M, abs=0.1)


def test_nearest_point_is_a_corner() -> None:
    assert metres_to_edges((4.0, 0.0), [Edge((-1.0, 0.0), (3.0, 0.0))]) == pytest.approx(DEGREE_OF_LONGITUDE_M, abs=0.1)


def test_edge_is_straight_in_longitude_and_latitude() -> None:
    """An edge along 60 N is no great circle: from the pole every point of it is equally near (quarter less 60 degrees).

    The meridian from 60 N to the pole is 10 001 965.729 - 6 654 072.819 m (WGS84 meridian arcs, published to the mm).
    """
    along_60_north = [Edge((0.0, 60.0), (170.0, 60.0))]
    assert metres_to_edges((85.0, 90.0), along_60_north) == pytest.approx(10_001_965.729 - 6_654_072.819, abs=1.0)


def test_no_edge_is_infinitely_far() -> None:
    assert metres_to_edges((0.0, 0.0), []) == math.inf


def test_distance_over_the_antimeridian() -> None:
    """From 179 E to an edge on 179 W along the equator: two degrees of longitude (check value G040, 222 639 m)."""
    assert metres_to_edges((179.0, 0.0), [Edge((-179.0, -1.0), (-179.0, 1.0))]) == pytest.approx(222_638.98, abs=1.0)


@pytest.mark.parametrize("margin", [1.001, 2.0, 50.0])
def test_distance_to_edges_agrees_with_trying_many_points(margin: float) -> None:
    """Ten thousand points along a slanting edge, each with the reference library: none is nearer, one is as near."""
    edge = Edge((10.0, 50.0), (12.0, 51.5))
    here = (10.0 + margin, 50.0)
    tried = [metres_between(here, (10.0 + 2.0 * k / 9999, 50.0 + 1.5 * k / 9999)) for k in range(10_000)]
    assert metres_to_edges(here, [edge]) == pytest.approx(min(tried), rel=1e-5)
    assert metres_to_edges(here, [edge]) <= min(tried) + 1e-3


ZOO = {
    "box": box(10, 20, 11, 21),
    "hole": Polygon(box(0, 0, 10, 10).exterior.coords, [box(4, 4, 6, 6).exterior.coords]),
    "spike": Polygon([(0, 0), (10, 0), (10, 1), (5, 1), (5, 9), (4.9, 1), (0, 1)]),
    "stairs": Polygon([(0, 0), (3, 0), (3, 3), (2, 3), (2, 2), (1, 2), (1, 1), (0, 1)]),
}


@pytest.mark.parametrize("name", ZOO)
def test_containment_agrees_with_an_independent_library(name: str) -> None:
    shape = ZOO[name]
    west, south, east, north = shape.bounds
    step_x, step_y = (east - west) / 20, (north - south) / 20
    for i in range(-2, 23):
        for k in range(-2, 23):
            point = (west + i * step_x, south + k * step_y)
            assert holds_point(shape, point) == shape.intersects(shapely.Point(point)), point


def test_both_spellings_of_the_antimeridian_are_one() -> None:
    east_half, west_half = a_shape("box 170 0 180 10"), a_shape("box -180 0 -170 10")
    for shape in (east_half, west_half):
        assert holds_point(shape, (180.0, 5.0))
        assert holds_point(shape, (-180.0, 5.0))
    assert not holds_point(east_half, (-179.0, 5.0))


@pytest.mark.parametrize("lon", [0.0, 123.0, -180.0])
def test_every_longitude_is_the_pole(lon: float) -> None:
    assert holds_point(a_shape("box -180 60 180 90"), (lon, 90.0))
    assert not holds_point(a_shape("box -180 60 180 90"), (lon, -90.0))


def test_seam_and_pole_are_no_edges() -> None:
    """The whole earth has no edge; a northern cap only the one along its parallel (four pieces of 90 degrees)."""
    assert edges_of(a_shape("box -180 -90 180 90")) == []
    assert {edge.start[1] for edge in edges_of(a_shape("box -180 60 180 90"))} == {60.0}


def test_part_of_the_seam_that_does_not_continue_is_an_edge() -> None:
    shape = shapely.MultiPolygon([box(170, 0, 180, 10), box(-180, 4, -170, 6)])
    on_seam = {tuple(sorted((e.start[1], e.end[1]))) for e in edges_of(shape) if e.start[0] == e.end[0] == 180.0}
    assert on_seam == {(0.0, 4.0), (6.0, 10.0)}


@pytest.mark.parametrize("disc", [(0.0, 0.0, 1000.0), (179.99, 45.0, 5000.0), (-180.0, 10.0, 90_000.0)])
def test_circle_as_polygon_has_its_radius(disc: tuple[float, float, float]) -> None:
    shape = circle_as_polygon(disc)
    assert holds_point(shape, disc[:2])
    west, _, east, _ = shape.bounds
    assert -180.0 <= west <= east <= 180.0
    assert metres_to_edges(disc[:2], edges_of(shape)) == pytest.approx(disc[2], rel=1e-4)


def test_circle_over_the_pole_holds_the_pole() -> None:
    shape = circle_as_polygon((30.0, 89.9, 20_000.0))
    assert holds_point(shape, (0.0, 90.0))
    assert metres_to_edges((30.0, 89.9), edges_of(shape)) == pytest.approx(20_000.0, rel=1e-3)


def test_edge_of_a_union_has_the_error_of_its_owner() -> None:
    """200 m from the west edge (error 0) is inside; 200 m from the east edge (error 300 m) is not sure."""
    west, east = Mapped(box(0, -1, 1, 1), 0.0), Mapped(box(1, -1, 2, 1), 300.0)
    step = 200 / DEGREE_OF_LONGITUDE_M
    assert standing(Spot((step, 0.0), 50.0), (west, east)).wholly_inside
    assert not standing(Spot((2 - step, 0.0), 50.0), (west, east)).wholly_inside
