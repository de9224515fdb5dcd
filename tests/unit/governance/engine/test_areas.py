"""Where a footprint is measured from: the mean of its vertices (section 4), by hand."""

from __future__ import annotations

import pytest
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from governance.engine.areas import Shapes
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
