"""Maps as numbers: what is where, to which scale, and that words never stand on one another."""

from __future__ import annotations

import re
from itertools import combinations

import pytest
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from governance.jurisdictions import outlines
from governance.papers.drawing import Area, AreaKind, CountryCount, MapPoint, areas_of_places, draw_map, draw_world
from governance.papers.drawing.labels import CHARACTER_WIDTH, Labels
from governance.papers.drawing.paths import path_of
from governance.papers.drawing.pieces import disc
from governance.papers.drawing.scale import degrees, round_below
from governance.papers.drawing.version_places import polygons_of
from governance.papers.drawing.view import around, view_of
from governance.papers.models import VersionPlace

SIDE = (448, 300)
BOX = Area(AreaKind.PERMITTED, shapely.box(10, 20, 11, 21), "COL-1")


def polygon_of(path: str) -> shapely.Polygon:
    """The first ring of a path of ours, read by the rules of SVG 2, 9.3: M is absolute, l is relative, z closes."""
    start, steps = re.fullmatch(r"M(\S+ \S+)l([^z]+)z.*", path).groups()  # type: ignore[union-attr]
    x, y = (float(n) for n in start.split())
    corners = [(x, y)]
    numbers = [float(n) for n in steps.split()]
    for dx, dy in zip(numbers[::2], numbers[1::2], strict=True):
        x, y = x + dx, y + dy
        corners.append((x, y))
    return shapely.Polygon(corners)


def test_window_has_a_margin_and_the_proportions_of_the_drawing() -> None:
    """By hand: cos 20.5° = 0.93667; height 1° * 1.24 = 1.24°; width 1.24 / 0.93667 * 448 / 300 = 1.97695°."""
    view = view_of([BOX], [], *SIDE)
    assert view is not None
    assert view.north - view.south == pytest.approx(1.24)
    assert view.east - view.west == pytest.approx(1.97695, abs=1e-4)
    assert view.y(21) == pytest.approx((20.5 + 0.62 - 21) / 1.24 * 300)
    assert view.x(10.5) == pytest.approx(224)


def test_area_is_drawn_where_the_window_puts_it() -> None:
    """One degree of latitude is 300 / 1.24 = 241.94 units high, one of longitude 448 / 1.97695 = 226.61 wide."""
    west, north, east, south = polygon_of(draw_map([BOX]).areas[0].path).bounds
    assert south - north == pytest.approx(241.94, abs=0.2)
    assert east - west == pytest.approx(226.61, abs=0.2)


@pytest.mark.parametrize("latitude", [0.0, 42.0, -61.0, 78.0])
def test_scale_bar_is_as_long_as_it_says(latitude: float) -> None:
    """Held against geodesics on WGS84: a degree differs by up to 0.7 % from the mean one that the map uses."""
    area = Area.disc(AreaKind.PERMITTED, 15.0, latitude, 20_000)
    view, drawn = view_of([area], [], *SIDE), draw_map([area])
    assert view is not None and drawn.scale is not None
    degrees_long = drawn.scale.length / SIDE[0] * (view.east - view.west)
    middle = (view.north + view.south) / 2
    metres = Geodesic.WGS84.Inverse(middle, 15.0, middle, 15.0 + degrees_long)["s12"]
    number, unit = drawn.scale.text.split()
    assert metres == pytest.approx(float(number) * {"m": 1, "km": 1000}[unit], rel=0.01)


@pytest.mark.parametrize(("longitude", "latitude"), [(15.0, 0.0), (-84.1, 9.9), (179.99, -16.0), (20.0, 78.0)])
def test_disc_is_a_geodesic_circle(longitude: float, latitude: float) -> None:
    for x, y in disc(longitude, latitude, 5_000).exterior.coords:
        assert Geodesic.WGS84.Inverse(latitude, longitude, y, x)["s12"] == pytest.approx(5_000, abs=0.5)


def test_circle_of_a_point_is_to_the_scale_of_the_map() -> None:
    """A disc of an area and the circle of a point of the same radius at the same place have the same size."""
    drawn = draw_map([Area.disc(AreaKind.PERMITTED, 15.0, 42.0, 3_000)], [MapPoint(15.0, 42.0, 3_000)])
    west, north, east, south = polygon_of(drawn.areas[0].path).bounds
    assert drawn.points[0].reach_x == pytest.approx((east - west) / 2, rel=0.01)
    assert drawn.points[0].reach_y == pytest.approx((south - north) / 2, rel=0.01)


def test_map_over_the_antimeridian_is_narrow_and_in_order() -> None:
    """Two halves of one island either side of 180°, cut there as RFC 7946 asks."""
    halves = shapely.MultiPolygon([shapely.box(179.5, -17, 180, -16), shapely.box(-180, -17, -179.5, -16)])
    points = [MapPoint(179.9, -16.5), MapPoint(-179.9, -16.5)]
    drawn = draw_map([Area(AreaKind.PERMITTED, halves)], points)
    assert drawn.span_m[0] < 250_000
    west, east = drawn.points
    assert 0 < west.x < east.x < SIDE[0]
    # 0.2° of 111.3 km * cos 16.5° = 21.3 km between them
    assert (east.x - west.x) * drawn.span_m[0] / SIDE[0] == pytest.approx(21_350, rel=0.01)


@pytest.mark.parametrize(
    ("spans", "west", "east"),
    [
        ([(10, 12), (14, 15)], 10, 15),
        ([(-5, 5)], -5, 5),
        ([(178, 180), (-180, -177)], 178, 183),
        ([(170, 175), (-160, -150), (-170, -165)], 170, 210),
        ([(-180, 180)], -180, 180),
    ],
)
def test_shortest_stretch_of_longitude(spans: list[tuple[float, float]], west: float, east: float) -> None:
    assert around(spans) == (west, east)


def test_pole_and_lone_point_are_drawn() -> None:
    """A circle over the pole takes all longitudes; a point without radius gets about a kilometre around it."""
    pole = draw_map([Area.disc(AreaKind.SITE, 0, -89.5, 100_000)])
    assert pole.areas[0].path
    lone = draw_map([], [MapPoint(-84.1, 9.9)])
    assert 900 < lone.span_m[1] < 1_200
    assert lone.only_orientation
    assert not lone.has_circles


def test_nothing_to_draw_is_said() -> None:
    assert draw_map().empty
    assert draw_map([Area(AreaKind.SITE, shapely.Polygon())]).empty


def test_country_that_fills_the_map_is_named_instead_of_drawn() -> None:
    country = Area(AreaKind.PERMITTED, outlines.countries()["GE"], "EXP-1", frames=False)
    drawn = draw_map([Area.disc(AreaKind.PERMITTED, 43.9, 42.08, 2_000, "LND-1"), country])
    assert [area.label for area in drawn.areas] == ["LND-1"]
    assert drawn.everywhere == ["EXP-1"]
    assert drawn.locator is not None


def test_country_alone_is_the_map() -> None:
    drawn = draw_map([Area(AreaKind.PERMITTED, outlines.countries()["GE"], "EXP-1", frames=False)])
    assert [area.label for area in drawn.areas] == ["EXP-1"]
    assert not drawn.only_orientation


def test_worst_point_lies_on_top() -> None:
    points = [MapPoint(10, 50, data_v="outside"), MapPoint(10, 50, data_v="covered"), MapPoint(10, 50, data_v="cannot")]
    assert [drawn.point.data_v for drawn in draw_map([], points).points] == ["covered", "cannot", "outside"]


def test_specimens_at_one_place_are_counted() -> None:
    points = [
        MapPoint(10, 50, data_v="covered", word="Covered", count=3),
        MapPoint(11, 50, data_v="covered", word="Covered"),
    ]
    drawn = draw_map([], points)
    assert [(key.word, key.count) for key in drawn.verdicts] == [("Covered", 4)]
    assert drawn.specimens == 4


@given(
    st.lists(
        st.tuples(st.floats(0, 448), st.floats(0, 300), st.text("abcdefgh -0123", min_size=1, max_size=24)), max_size=40
    )
)
def test_labels_never_meet_nor_leave_the_map(wanted: list[tuple[float, float, str]]) -> None:
    labels = Labels(*SIDE)
    for x, y, text in wanted:
        labels.beside(text, x, y, 9)
    boxes = [(p.x, p.y - 11, p.x + len(p.text) * CHARACTER_WIDTH, p.y + 4) for p in labels.placed]
    for one, other in combinations(boxes, 2):
        assert not shapely.box(*one).buffer(-0.2).intersects(shapely.box(*other).buffer(-0.2))
    assert all(x >= 0 and y >= 0 and right <= 448 and low <= 300 for x, y, right, low in boxes)


def test_label_that_finds_no_room_is_left_out() -> None:
    labels = Labels(60, 40)
    assert labels.beside("short", 10, 20, 4)
    assert not labels.beside("far too long for this", 10, 20, 4)
    assert [label.text for label in labels.placed] == ["short"]


def test_path_holds_the_shape() -> None:
    shape = shapely.Polygon([(0, 0), (40, 5.5), (33.3, 30), (2, 28.7)])
    assert polygon_of(path_of(shape)).symmetric_difference(shape).area < 3
    assert path_of(shapely.Polygon()) == ""


@pytest.mark.parametrize(("value", "expected"), [(1.0, 1.0), (1.99, 1.0), (2.0, 2.0), (499.9, 200.0), (0.07, 0.05)])
def test_round_numbers_below(value: float, expected: float) -> None:
    assert round_below(value) == expected


@pytest.mark.parametrize(
    ("value", "sides", "words"),
    [
        (-84.5, "EW", "84.5° W"),
        (0.0, "NS", "0°"),
        (180.0, "EW", "180°"),
        (-180.0, "EW", "180°"),
        (-2.25, "NS", "2.25° S"),
    ],
)
def test_degrees_in_words(value: float, sides: str, words: str) -> None:
    assert degrees(value, sides) == words


def test_places_of_a_version_become_areas() -> None:
    """Included ones first; an excluded site bears its name; what has no shape is left out."""
    places = [
        VersionPlace(excluded=True, site="Hatchery", longitude_deg=43.9, latitude_deg=42.08, radius_m=100.0),
        VersionPlace(geojson='{"type":"Polygon","coordinates":[[[43,42],[44,42],[44,43],[43,42]]]}'),
        VersionPlace(country="GE"),
        VersionPlace(site="unmapped"),
    ]
    areas = areas_of_places(places, label="COL-1 v2")
    assert [(area.kind, area.label, area.frames) for area in areas] == [
        (AreaKind.PERMITTED, "COL-1 v2", True),
        (AreaKind.PERMITTED, "", False),
        (AreaKind.EXCLUDED, "Hatchery", True),
    ]


def test_registered_site_lends_its_shape() -> None:
    shape = shapely.box(43, 42, 44, 43)
    (area,) = areas_of_places([VersionPlace(site="GE-NAZ-1")], {"GE-NAZ-1": shape})
    assert area.shape is shape


@pytest.mark.parametrize("text", ["", "no json", '{"type":"Point","coordinates":[1,2]}', '{"type":"Polygon"}'])
def test_geojson_without_polygons_is_no_shape(text: str) -> None:
    assert polygons_of(text) is None


def test_world_draws_the_most_first_and_areas_by_count() -> None:
    """A quarter of the count is half of the radius."""
    counts = [
        CountryCount("CR", "Costa Rica", 100),
        CountryCount("SE", "Sweden", 400),
        CountryCount("", "no country", 9),
    ]
    world = draw_world(counts)
    assert [drawn.country.code for drawn in world.circles] == ["SE", "CR"]
    assert world.circles[1].r == pytest.approx(world.circles[0].r / 2)
    assert [count.name for count in world.unplaced] == ["no country"]
    sweden, costa_rica = world.circles
    assert sweden.x > costa_rica.x and sweden.y < costa_rica.y


def test_small_map_moves_out_of_the_way_of_a_point() -> None:
    """The window is 2 km around two points; the one in the north-west would lie under the small map."""
    below = draw_map([], [MapPoint(43.90, 42.08), MapPoint(43.92, 42.09)])
    under = draw_map([], [MapPoint(43.90, 42.09), MapPoint(43.92, 42.08)])
    assert below.locator is not None and under.locator is not None
    assert below.locator.left == 8
    assert under.locator.left > SIDE[0] / 2
    assert under.points[0].x < below.locator.width + 16, "this point is why"
