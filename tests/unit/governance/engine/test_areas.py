"""Where a footprint is measured from: the mean of its vertices (section 4), by hand."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from governance.engine.areas import Shapes
from governance.engine.edges import EdgePool, edges_of
from governance.engine.geodesy import geodesic_m
from governance.engine.tables import HouseRules
from tests.factories.engine import a_material


@pytest.mark.parametrize(
    ("shape", "longitude", "latitude"),
    [
        # 0, 3 and 0 by 0, 0 and 3: the vertex that closes the ring is not counted again.
        (Polygon([(0, 0), (3, 0), (0, 3)]), 1.0, 1.0),
        # The hole's vertices count too: (0 + 4 + 4 + 0 + 1 + 2 + 1) / 7 and (0 + 0 + 4 + 4 + 1 + 1 + 2) / 7.
        (Polygon([(0, 0), (4, 0), (4, 4), (0, 4)], [[(1, 1), (2, 1), (1, 2)]]), 12 / 7, 12 / 7),
        # Both sides of the antimeridian: 179, 180, 180 and 182, twice each, are 180.25, which is written -179.75.
        (MultiPolygon([box(179, 0, 180, 2), box(-180, 0, -178, 2)]), -179.75, 1.0),
        (MultiPolygon([box(-180, 0, -178, 2), box(179, 0, 180, 2)]), -179.75, 1.0),
        (LineString([(10, 50), (12, 51), (14, 52)]), 12.0, 51.0),
        (Point(7, 8), 7.0, 8.0),
    ],
    ids=["a triangle", "with a hole", "from the east", "from the west", "a line", "a point"],
)
def test_centre_of_a_footprint(shape: BaseGeometry, longitude: float, latitude: float) -> None:
    shapes = Shapes(a_material([{"place": shape.wkt}]).places, HouseRules())
    assert shapes.longitude_deg.tolist() == pytest.approx([longitude])
    assert shapes.latitude_deg.tolist() == pytest.approx([latitude])


def test_edges_of_many_areas_measured_at_once_are_those_of_each_alone() -> None:
    """Circles of 256 vertices about three centres: many blocks of edges each, and points nearest to all sides of them.

    The nearest point of a circle lies on the ray from its centre: 3 degrees less 1 along a meridian or the equator.
    """
    centres = [(0.0, 0.0), (20.0, 0.0), (40.0, 0.0)]
    edges = [edges_of(Point(centre).buffer(1.0, quad_segs=64)) for centre in centres]
    around = [(3.0, 0.0), (0.0, 3.0), (-3.0, 0.0), (0.0, -3.0)]
    member = np.repeat(np.arange(3), 4)
    points = np.array([(x + dx, y + dy) for x, y in centres for dx, dy in around])
    pooled = EdgePool(edges).distance_m(member, points[:, 0], points[:, 1])
    for number, alone in enumerate(edges):
        own = member == number
        assert pooled[own] == pytest.approx(alone.distance_m(points[own, 0], points[own, 1]), abs=1e-6)
    nearest = np.array([(x + dx / 3, y + dy / 3) for x, y in centres for dx, dy in around])
    assert pooled == pytest.approx(geodesic_m(*points.T, *nearest.T), rel=0.001)


@pytest.mark.parametrize("corner", [(1.0, 1.0), (0.0, 1.0), (0.0, 0.0), (1.0, 0.0)])
def test_the_nearest_point_of_an_edge_is_never_beyond_its_end(corner: tuple[float, float]) -> None:
    """Outside a corner of a box the corner is nearest, however long the edges that meet there."""
    x, y = corner
    point = np.array([x + 0.1 * (2 * x - 1)]), np.array([y + 0.1 * (2 * y - 1)])
    found = edges_of(box(0, 0, 1, 1)).distance_m(*point)
    assert found == pytest.approx(geodesic_m(*point, np.array([x]), np.array([y])), abs=0.001)
