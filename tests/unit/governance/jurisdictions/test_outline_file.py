"""The outline file gives back what was put in, on its grid."""

import numpy as np
import shapely

from governance.jurisdictions.outline_file import OutlineFile, decode, encode, to_grid, write

ISLAND_WITH_LAKE = shapely.MultiPolygon(
    [
        shapely.box(-180.0, -16.5, -179.5, -16.0),
        shapely.Polygon(shapely.box(10, 50, 11, 51).exterior, [shapely.box(10.2, 50.2, 10.4, 50.4).exterior]),
    ]
)


def test_a_shape_comes_back_with_its_parts_and_holes():
    back = decode(encode(ISLAND_WITH_LAKE))
    assert back.equals(ISLAND_WITH_LAKE)
    assert len(back.geoms) == 2
    assert len(back.geoms[1].interiors) == 1


def test_corners_move_by_half_a_grid_step_at_most():
    """1e-4 degree is 11.1 m on a meridian (40,007,863 m / 360 / 10,000), so half a step is less than 6 m an axis."""
    shape = shapely.Point(7.123456789, 46.987654321).buffer(0.5)
    moved = np.abs(shapely.get_coordinates(to_grid(shape)) - shapely.get_coordinates(shape))
    assert moved.max() <= 0.5e-4 + 1e-12
    assert moved.max() > 0


def test_neighbours_still_meet_after_rounding():
    """An edge between two places that meet is no edge: rounding moves the shared corners of both alike."""
    corner, far = (8.12345678, 47.12345678), (8.98765432, 47.98765432)
    left = to_grid(shapely.Polygon([corner, far, (8.0, 48.0)]))
    right = to_grid(shapely.Polygon([corner, (9.0, 47.0), far]))
    assert left.union(right).geom_type == "Polygon"
    assert left.intersection(right).area == 0


def test_rounding_that_folds_a_shape_leaves_a_valid_area():
    sliver = shapely.Polygon([(0, 0), (1, 0.00001), (1, 1), (0.5, 0.00002), (0, 1)])
    assert to_grid(sliver).is_valid
    assert to_grid(sliver).area > 0


def test_file_reads_one_outline_at_a_time(tmp_path):
    path = tmp_path / "two.outlines"
    write(path, {"B": ISLAND_WITH_LAKE, "A": shapely.box(0, 0, 1, 1)})
    outlines = OutlineFile(path)
    assert list(outlines) == ["A", "B"]
    assert outlines["A"].equals(shapely.box(0, 0, 1, 1))
    assert "C" not in outlines
    assert outlines.get("C") is None


def test_the_same_outlines_make_the_same_file(tmp_path):
    shapes = {"A": shapely.box(0, 0, 1, 1), "B": ISLAND_WITH_LAKE}
    write(tmp_path / "1", shapes)
    write(tmp_path / "2", dict(reversed(shapes.items())))
    assert (tmp_path / "1").read_bytes() == (tmp_path / "2").read_bytes()
