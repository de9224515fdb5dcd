"""Distances and containment of the engine's areas against published check values and a reference library.

Published values: tests/data/geo_check_values.csv, each with its source. Reference library: geographiclib (Karney's own
code), by a slow search along edges that are straight in longitude and latitude. Rows of the file that no check of
places can use are listed, with the reason, in ``NOT_FOR_PLACES``; a row in neither list fails.
"""

from __future__ import annotations

import math
import random
import re

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from pyproj import Transformer
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from governance.engine.edges import edges_of
from governance.engine.geodesy import disc_polygon, geodesic_m, holds, vectors
from tests.factories import zoo
from tests.factories.engine import a_shape

ROWS = zoo.check_values()
INVERSE = [f"G{n:03}" for n in range(25, 53)]
CONTAINMENT = [f"G{n:03}" for n in range(69, 83)]
COUNTRY = [f"G{n:03}" for n in range(83, 92)]
BORDER = [f"G{n:03}" for n in range(92, 126)]
READ_FROM_TEXT = [f"G{n:03}" for n in (*range(1, 25), *range(126, 220))]
"""Projections, datums, grids, written forms and precision: read by accessions.values, tested beside it."""

NOT_FOR_PLACES = {
    **dict.fromkeys(
        ("G053", "G054", "G055", "G056", "G057"), "on Bessel 1841 and International 1924; the engine is on WGS84"
    ),
    "G058": "on GRS80, and about azimuths: its distance is that on WGS84 to a tenth of a millimetre, tested below",
    **dict.fromkeys((f"G{n:03}" for n in range(59, 69)), "the size of an area; no verdict asks how large an area is"),
}


def numbers(text: str) -> list[float]:
    return [float(x) for x in re.findall(r"-?\d+(?:\.\d+)?", text)]


def column(value: float) -> np.ndarray:
    return np.array([value], np.float64)


def test_every_published_value_has_a_use_or_a_reason() -> None:
    used = {*INVERSE, *CONTAINMENT, *COUNTRY, *BORDER, *READ_FROM_TEXT, *NOT_FOR_PLACES}
    assert set(ROWS) - used == set()
    assert "G058" in ROWS


@pytest.mark.parametrize("number", INVERSE)
def test_distance_is_the_published_one(number: str) -> None:
    """To the millimetre, or to the half metre to which the value is published."""
    lat1, lon1, lat2, lon2 = numbers(ROWS[number]["point"].split("(")[0])
    metres = float(numbers(ROWS[number]["expectation"])[0])
    allowed = 0.5 if ROWS[number]["tolerance"].startswith("0.5") else 0.002
    found = geodesic_m(column(lon1), column(lat1), column(lon2), column(lat2))[0]
    assert found == pytest.approx(metres, abs=allowed), ROWS[number]["source"]


def test_earth_centred_positions_are_those_of_proj() -> None:
    """EPSG 4978 from EPSG 4979; at the equator and the pole by hand: the half axes of WGS84, 6,378,137 m and
    6,356,752.314 m (NIMA TR8350.2).
    """
    lon, lat = np.array([0.0, 180.0, -84.1, 12.5, 90.0]), np.array([0.0, 0.0, 9.9, -55.7, 90.0])
    expected = Transformer.from_crs(4979, 4978, always_xy=True).transform(lon, lat, np.zeros(5))
    assert vectors(lon, lat) == pytest.approx(np.column_stack(expected), abs=0.001)
    assert vectors(lon, lat)[0] == pytest.approx([6_378_137, 0, 0], abs=0.001)
    assert vectors(lon, lat)[4] == pytest.approx([0, 0, 6_356_752.314], abs=0.001)


def test_flinders_peak_to_buninyong() -> None:
    """G058 is on GRS80, whose flattening differs from that of WGS84 in the ninth figure."""
    found = geodesic_m(column(144.4248679), column(-37.9510334), column(143.9264956), column(-37.6528211))[0]
    assert found == pytest.approx(54_972.271, abs=0.02)


def reference_m(point: tuple[float, float], shape: BaseGeometry, most_deg: float = 0.05) -> float:
    """Metres from a point to the nearest edge: every edge walked in steps, the best step searched by thirds."""
    best = math.inf
    for ring in (r for part in shapely.get_parts(shape) for r in shapely.get_rings(part)):
        for start, end in zip(ring.coords[:-1], ring.coords[1:], strict=True):
            best = min(best, _edge_m(point, start, end, most_deg))
    return best


def _edge_m(point: tuple[float, float], start: tuple[float, ...], end: tuple[float, ...], most_deg: float) -> float:
    def metres(share: float) -> float:
        lon, lat = (a + share * (b - a) for a, b in zip(start, end, strict=True))
        return float(Geodesic.WGS84.Inverse(point[1], point[0], lat, lon, Geodesic.DISTANCE)["s12"])

    steps = max(4, math.ceil(max(abs(b - a) for a, b in zip(start, end, strict=True)) / most_deg))
    walked = [metres(k / steps) for k in range(steps + 1)]
    nearest = walked.index(min(walked))
    low, high = max(nearest - 1, 0) / steps, min(nearest + 1, steps) / steps
    for _ in range(25):
        third = (high - low) / 3
        low, high = (low, high - third) if metres(low + third) < metres(high - third) else (low + third, high)
    return min(*walked, metres((low + high) / 2))


def tolerance_m(metres: float) -> float:
    """0.5 % or 1 m, whichever is larger, up to 100 km; 1 % beyond (VERDICTS, section 4)."""
    return max(0.005 * metres, 1.0) if metres <= 100_000 else 0.01 * metres


def star(chance: random.Random, centre: tuple[float, float], reach_deg: float, corners: int) -> Polygon:
    """A ring around a centre that does not cross itself; longitudes may leave -180..180."""
    lon, lat = centre
    wide = min(1 / math.cos(math.radians(lat)), 8.0)
    ring = []
    for k in range(corners):
        angle, far = 2 * math.pi * (k + chance.random() * 0.8) / corners, reach_deg * chance.uniform(0.3, 1)
        ring.append((lon + far * wide * math.cos(angle), max(-89.9, min(89.9, lat + far * math.sin(angle)))))
    return Polygon(ring)


def cut(shape: Polygon) -> BaseGeometry:
    """Cut at the antimeridian (RFC 7946, section 3.1.9)."""
    parts = []
    for shift in (-360, 0, 360):
        moved = Polygon([(x + shift, y) for x, y in shape.exterior.coords])
        part = moved.intersection(box(-180, -90, 180, 90))
        parts += [p for p in shapely.get_parts(part) if p.area > 0]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def cap(chance: random.Random, latitude: float, *, north: bool) -> Polygon:
    """All that is poleward of a jagged parallel, drawn in longitude and latitude with its edge on the pole."""
    pole = 90.0 if north else -90.0
    sign = 1 if north else -1
    rim = [(-180.0 + 30 * k, sign * (latitude + chance.uniform(-1, 1))) for k in range(13)]
    rim[-1] = (180.0, rim[0][1])
    top = [(180 - 60 * k, pole) for k in range(7)]
    return Polygon([*rim, *top])


def near(chance: random.Random, shape: BaseGeometry, spread_deg: float) -> tuple[float, float]:
    """A point in or about a shape, as valid coordinates."""
    part = chance.choice(list(shapely.get_parts(shape)))
    lon, lat = chance.choice(list(part.exterior.coords))
    lat = max(-90.0, min(90.0, lat + chance.gauss(0, spread_deg)))
    lon += chance.gauss(0, spread_deg) / max(math.cos(math.radians(lat)), 0.1)
    return (lon + 180) % 360 - 180, lat


KINDS = ("small", "100 km", "across the antimeridian", "north pole", "south pole", "long edges", "with a hole")


def a_case(kind: str, seed: int) -> tuple[BaseGeometry, tuple[float, float]]:
    chance = random.Random(f"{kind} {seed}")
    if kind == "small":
        shape: BaseGeometry = star(chance, (chance.uniform(-170, 170), chance.uniform(-75, 75)), 0.01, 7)
        return shape, near(chance, shape, 0.01)
    if kind == "100 km":
        shape = star(chance, (chance.uniform(-170, 170), chance.uniform(-75, 75)), 1.0, 9)
        return shape, near(chance, shape, 0.7)
    if kind == "across the antimeridian":
        shape = cut(star(chance, (chance.choice((179.9, -179.8)), chance.uniform(-70, 70)), 1.5, 8))
        return shape, near(chance, shape, 0.5)
    if kind == "long edges":
        shape = star(chance, (chance.uniform(-60, 60), chance.uniform(-40, 40)), chance.uniform(10, 35), 5)
        return shape, near(chance, shape, 2.0)
    if kind == "with a hole":
        x, y = chance.uniform(-170, 170), chance.uniform(-70, 70)
        shape = box(x - 1, y - 1, x + 1, y + 1).difference(star(chance, (x, y), 0.1, 6))
        return shape, (x + chance.gauss(0, 0.1), y + chance.gauss(0, 0.05))
    shape = cap(chance, chance.uniform(70, 85), north=kind == "north pole")
    return shape, near(chance, shape, 1.0)


def seamless(shape: BaseGeometry) -> list[tuple[tuple[float, ...], tuple[float, ...]]]:
    """The edges that are a border of the area: not those along the antimeridian or on a pole."""
    found = []
    for ring in (r for part in shapely.get_parts(shape) for r in shapely.get_rings(part)):
        for start, end in zip(ring.coords[:-1], ring.coords[1:], strict=True):
            seam = abs(start[0]) == abs(end[0]) == 180
            if not seam and not abs(start[1]) == abs(end[1]) == 90:
                found.append((start, end))
    return found


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("kind", KINDS)
def test_distance_to_the_nearest_edge(kind: str, seed: int) -> None:
    shape, point = a_case(kind, seed)
    steps_deg = 0.5 if kind in ("long edges", "north pole", "south pole") else 0.05
    expected = min(_edge_m(point, *edge, steps_deg) for edge in seamless(shape))
    found = edges_of(shape).distance_m(column(point[0]), column(point[1]))[0]
    assert found == pytest.approx(expected, abs=tolerance_m(expected)), (shape.wkt, point)


def test_distances_in_one_call_are_those_of_each() -> None:
    """Many points in one column: no point takes the nearest edge of another."""
    shape, _ = a_case("100 km", 1)
    chance = random.Random("many")
    points = [near(chance, shape, 0.5) for _ in range(40)]
    together = edges_of(shape).distance_m(np.array([x for x, _ in points]), np.array([y for _, y in points]))
    alone = [edges_of(shape).distance_m(column(x), column(y))[0] for x, y in points]
    assert together.tolist() == pytest.approx(alone, abs=1e-6)
    assert together[3] == pytest.approx(reference_m(points[3], shape), abs=tolerance_m(together[3]))


def test_edges_are_straight_in_longitude_and_latitude() -> None:
    """RFC 7946, 3.1.1: an edge along 60 N from 0 to 40 E keeps to the parallel; the geodesic runs some 3 degrees north.

    At 20 E, 61 N is one degree of latitude (111,412 m there, own arithmetic: mean radius of curvature) from the edge.
    """
    edge = a_shape("POLYGON ((0 60, 40 60, 40 50, 0 50, 0 60))")
    found = edges_of(edge).distance_m(column(20.0), column(61.0))[0]
    assert found == pytest.approx(Geodesic.WGS84.Inverse(60, 20, 61, 20)["s12"], abs=1.0)


def test_seam_of_an_area_cut_at_the_antimeridian_is_no_edge() -> None:
    """170 E to 170 W (RFC 7946, 3.1.9): a point on the seam is 5 degrees of latitude from the nearest edge."""
    shape = a_shape("box 170 40 -170 50")
    for longitude in (180.0, -180.0):
        found = edges_of(shape).distance_m(column(longitude), column(45.0))[0]
        assert found == pytest.approx(min(
            Geodesic.WGS84.Inverse(45, 180, 40, 180)["s12"], Geodesic.WGS84.Inverse(45, 180, 50, 180)["s12"]
        ), rel=0.005)  # fmt: skip


def test_antimeridian_is_an_edge_where_an_area_ends_there() -> None:
    """The eastern half alone ends at 180: 0.1 degrees at 17 S are 10,648.58 m (half of G050)."""
    shape = a_shape("box 177 -20 180 -16")
    found = edges_of(shape).distance_m(column(-179.9), column(-17.0))[0]
    assert found == pytest.approx(21_297.165 / 2, abs=1.0)


def test_all_longitudes_of_the_pole_are_one_point() -> None:
    """A cap from 80 N on: the pole is inside, 10 degrees of latitude from the rim at any longitude."""
    shape = a_shape("box -180 80 180 90")
    rim = Geodesic.WGS84.Inverse(80, 0, 90, 0)["s12"]
    lons = np.array([0.0, 123.0, -180.0, 180.0])
    lats = np.full(4, 90.0)
    assert holds(shape, lons, lats).all()
    assert edges_of(shape).distance_m(lons, lats).tolist() == pytest.approx([rim] * 4, abs=1.0)


def test_no_edges_are_infinitely_far() -> None:
    """The whole globe has no edge."""
    assert edges_of(a_shape("box -180 -90 180 90")).distance_m(column(5.0), column(5.0))[0] == math.inf


def test_no_points_have_no_distances() -> None:
    none = np.zeros(0)
    assert edges_of(box(0, 0, 1, 1)).distance_m(none, none).shape == (0,)
    assert holds(box(0, 0, 1, 1), none, none).shape == (0,)


@pytest.mark.parametrize(
    ("longitude", "latitude", "radius_m"),
    [
        (-84.1, 9.9, 5000.0),
        (179.95, -17.0, 20_000.0),
        (10.0, 84.0, 50_000.0),
        (0.0, 0.0, 1_000_000.0),
        (15.0, 60.0, 0.5),
    ],
)
def test_circle_drawn_as_a_polygon_keeps_its_radius(longitude: float, latitude: float, radius_m: float) -> None:
    shape = disc_polygon(longitude, latitude, radius_m)
    assert shape is not None
    rim = [(x, y) for x, y in shapely.get_coordinates(shape).tolist() if abs(x) < 180]
    far = [Geodesic.WGS84.Inverse(latitude, longitude, y, x)["s12"] for x, y in rim]
    assert min(far) == pytest.approx(radius_m, rel=1e-4)
    assert max(far) == pytest.approx(radius_m, rel=1e-4)


def test_circle_about_a_pole_is_not_drawn() -> None:
    assert disc_polygon(10.0, 89.9, 50_000.0) is None
