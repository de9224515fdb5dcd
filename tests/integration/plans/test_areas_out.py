"""Allowed areas as GPX and GeoJSON, read back by gpxpy and shapely and held against the polygons of the papers."""

from __future__ import annotations

import json
import math
from itertools import pairwise
from typing import Any

import gpxpy
import pytest
import shapely
from pyproj import Geod
from shapely.geometry import shape

from accessions.people.access import EVERY_ROLE
from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper, VersionPerson, VersionPlace, VersionWord
from governance.plans.models import Stop
from governance.plans.pack.areas_out import areas_geojson, areas_gpx
from governance.plans.pack.language import language
from governance.plans.pack.mapped_areas import cut_at_antimeridian
from governance.plans.pack.sources import PackSources, sources
from governance.plans.queries.check import check_plan
from tests.factories import packs, plans, register
from tests.factories.packs import CORE, HOLE, SQUARE, TODAY, Trip

pytestmark = pytest.mark.django_db


@pytest.fixture
def trip() -> Trip:
    return packs.trip()


def sources_of(trip: Trip, role: str = Role.CURATOR) -> PackSources:
    return sources(check_plan(trip.plan, today=TODAY), register.person(role), language("en"))


def features(trip: Trip, kind: str, role: str = Role.CURATOR) -> list[dict[str, Any]]:
    collection = json.loads(areas_geojson(sources_of(trip, role)))
    assert collection["type"] == "FeatureCollection"
    return [feature for feature in collection["features"] if feature["properties"]["kind"] == kind]


def tracks(trip: Trip) -> list[Any]:
    return gpxpy.parse(areas_gpx(sources_of(trip)).decode()).tracks


def test_geojson_holds_the_polygon_of_the_paper_with_its_hole(trip: Trip) -> None:
    """And without the core zone, which the paper excludes."""
    (allowed,) = features(trip, "allowed")
    assert shape(allowed["geometry"]).equals(shapely.Polygon(SQUARE, [HOLE, CORE]))
    assert allowed["properties"] | {"name": ""} == {
        "kind": "allowed", "name": "", "stop": "At the weir", "stopNumber": 1, "paper": "COL-2027-011",
        "paperKind": "Collecting permit", "layer": "collecting", "from": "2027-06-03", "to": "2027-06-05",
        "verdict": "Cannot tell", "isSettled": False, "place": "", "boundaryErrorInMeters": 20.0,
        "discErrorInMeters": None,
    }  # fmt: skip


def test_rings_turn_as_the_standard_asks(trip: Trip) -> None:
    """RFC 7946, 3.1.6: the outer ring against the clock, holes with it; each ring closed."""
    (allowed,) = features(trip, "allowed")
    outer, *holes = (shapely.LinearRing(ring) for ring in allowed["geometry"]["coordinates"])
    assert outer.is_ccw
    assert [hole.is_ccw for hole in holes] == [False, False]
    assert all(ring[0] == ring[-1] for ring in allowed["geometry"]["coordinates"])


def test_what_is_not_settled_is_named_so_on_a_device(trip: Trip) -> None:
    """A device shows names alone: an area must not read as plainly allowed while anything of the field is open at its
    stop, or a paper that also speaks there may not be read."""
    assert the_name(trip) == "! 1 Allowed (Cannot tell!): COL-2027-011, Collecting"
    decide(trip, Layer.COLLECTING)
    assert the_name(trip) == "! 1 Allowed (Land: Cannot tell!): COL-2027-011, Collecting"
    for layer in (Layer.LAND, Layer.SPECIES, Layer.PROTECTED_SITE, Layer.ACCESS):
        decide(trip, layer)
    assert the_name(trip) == "! 1 Allowed (LND-2027-003!): COL-2027-011, Collecting"
    Paper.objects.update(restricted_to=EVERY_ROLE, restricted_why="")
    VersionPlace.objects.exclude(version=trip.version).delete()
    (allowed,) = features(trip, "allowed")
    assert allowed["properties"]["name"] == "1 Allowed: COL-2027-011, Collecting"
    assert allowed["properties"]["isSettled"] is True


def the_name(trip: Trip) -> str:
    (allowed,) = features(trip, "allowed")
    assert allowed["properties"]["isSettled"] is False
    return str(allowed["properties"]["name"])


def decide(trip: Trip, layer: Layer) -> None:
    trip.plan.decisions.create(layer=layer, reason="none", evidence="letter", decided_by=trip.curator)


def test_excluded_areas_are_apart(trip: Trip) -> None:
    (excluded,) = features(trip, "excluded")
    assert shape(excluded["geometry"]).equals(shapely.Polygon(CORE))
    assert excluded["properties"]["place"] == "Core zone"
    assert "Not allowed" in excluded["properties"]["name"]


def test_gpx_holds_each_ring_as_a_closed_segment(trip: Trip) -> None:
    allowed, excluded = tracks(trip)
    rings = [[(point.longitude, point.latitude) for point in segment.points] for segment in allowed.segments]
    assert all(ring[0] == ring[-1] for ring in rings)
    assert shapely.Polygon(rings[0], rings[1:]).equals(shapely.Polygon(SQUARE, [HOLE, CORE]))
    assert (allowed.type, excluded.type) == ("allowed", "excluded")
    assert "3 June 2027 to 5 June 2027" in allowed.description
    assert "boundary known to ±20\u00a0m" in allowed.description


def test_stops_are_waypoints_with_day_and_warning(trip: Trip) -> None:
    """GPX 1.1 (http://www.topografix.com/GPX/1/1): wpt before trk, name before desc before type."""
    read = gpxpy.parse(areas_gpx(sources_of(trip)).decode())
    assert read.version == "1.1"
    (point,) = read.waypoints
    assert (point.longitude, point.latitude) == (43.903, 42.084)
    assert point.name == "! 1 At the weir"
    assert point.description
    assert point.description.startswith("3 June 2027 to 5 June 2027. Do not collect here before this is settled.")
    (stop,) = features(trip, "stop")
    assert stop["geometry"] == {"type": "Point", "coordinates": [43.903, 42.084]}
    assert stop["properties"]["warning"].startswith("Do not collect here")
    assert stop["properties"]["radiusInMeters"] == 200.0


def test_a_disc_never_reaches_over_its_circle_and_says_by_how_much_it_is_short(trip: Trip) -> None:
    """5000 m x (1 - cos(180 deg / 180)) = 0.76 m: the sagitta of a polygon of 180 corners."""
    VersionPlace.objects.filter(excluded=False).delete()
    VersionPlace.objects.create(version=trip.version, longitude_deg=43.9, latitude_deg=42.08, radius_m=5_000)
    (allowed,) = [one for one in features(trip, "allowed") if one["properties"]["paper"] == "COL-2027-011"]
    corners = allowed["geometry"]["coordinates"][0]
    geod = Geod(ellps="WGS84")
    away = [geod.inv(43.9, 42.08, longitude, latitude)[2] for longitude, latitude in corners]
    middles = [geod.inv(43.9, 42.08, (one[0] + two[0]) / 2, (one[1] + two[1]) / 2)[2] for one, two in pairwise(corners)]
    assert max(away) == pytest.approx(5_000, abs=0.01)
    assert max(middles) <= 5_000
    assert min(middles) == pytest.approx(5_000 - 0.76, abs=0.05)
    assert allowed["properties"]["discErrorInMeters"] == pytest.approx(5_000 * (1 - math.cos(math.radians(1))))


def test_several_polygons_stay_several(trip: Trip) -> None:
    VersionPlace.objects.filter(excluded=True).delete()
    two = {"type": "MultiPolygon", "coordinates": [[SQUARE], [[[44.1, 42], [44.2, 42], [44.2, 42.1], [44.1, 42]]]]}
    VersionPlace.objects.filter(version=trip.version, excluded=False).update(geojson=json.dumps(two))
    (allowed,) = features(trip, "allowed")
    assert shape(allowed["geometry"]).equals(shape(two))
    assert len(next(track for track in tracks(trip) if track.type == "allowed").segments) == 2


def test_a_disc_at_the_antimeridian_is_cut(trip: Trip) -> None:
    """RFC 7946, 3.1.9: no part of it leaves -180 to 180; both sides have their half, and GPX stays below 180."""
    VersionPlace.objects.filter(excluded=False).delete()
    VersionPlace.objects.create(version=trip.version, longitude_deg=179.99, latitude_deg=-17.0, radius_m=5_000)
    Stop.objects.filter(pk=trip.stop.pk).update(longitude_deg=180.0, latitude_deg=-17.0)
    (allowed,) = features(trip, "allowed")
    read = shape(allowed["geometry"])
    assert read.geom_type == "MultiPolygon"
    assert read.is_valid
    west, _south, east, _north = read.bounds
    assert (west, east) == (-180, 180)
    area_m2 = abs(sum(Geod(ellps="WGS84").geometry_area_perimeter(part)[0] for part in read.geoms))
    assert area_m2 == pytest.approx(math.pi * 5_000**2, rel=0.001)
    read_gpx = gpxpy.parse(areas_gpx(sources_of(trip)).decode())
    longitudes = [p.longitude for track in read_gpx.tracks for part in track.segments for p in part.points]
    assert all(-180 <= longitude < 180 for longitude in [*longitudes, *(p.longitude for p in read_gpx.waypoints)])


def test_what_lies_within_the_globe_is_not_cut() -> None:
    square = shapely.box(170, -10, 180, 10)
    assert cut_at_antimeridian(square) is square
    cut = cut_at_antimeridian(shapely.box(175, 0, 185, 1))
    assert sorted(part.bounds for part in cut.geoms) == [(-180, 0, -175, 1), (175, 0, 180, 1)]


def test_a_registered_site_lends_its_boundary_of_the_days(trip: Trip) -> None:
    """A boundary that ended before the stop is none of its days; one that holds is given."""
    VersionPlace.objects.filter(excluded=False).delete()
    VersionPlace.objects.create(version=trip.version, site="Nazvri, upper bridge")
    site = register.site()
    old = packs.polygon([[1, 1], [2, 1], [2, 2], [1, 1]])
    now = packs.polygon([[43.9, 42.0], [43.95, 42.0], [43.95, 42.1], [43.9, 42.0]])
    register.boundary(site, polygon=old, held_to="2027-06-02")
    register.boundary(site, polygon=now, held_from="2027-06-03")
    (allowed,) = features(trip, "allowed")
    assert shape(allowed["geometry"]).equals(shape(json.loads(now)))


def test_words_without_a_map_give_no_area(trip: Trip) -> None:
    """A country is no polygon that a GPS could follow: nothing is drawn rather than a coarse outline."""
    VersionPlace.objects.filter(excluded=False).delete()
    VersionPlace.objects.create(version=trip.version, country="GE")
    assert features(trip, "allowed") == []


@pytest.mark.parametrize(("first", "last"), [("2027-06-19", "2027-06-20"), (None, None)])
def test_no_area_is_allowed_on_days_on_which_no_paper_holds(trip: Trip, first: str | None, last: str | None) -> None:
    """The permit ends on 18 June; of days that are not fixed nothing is known."""
    Stop.objects.filter(pk=trip.stop.pk).update(first_on=first, last_on=last)
    assert features(trip, "allowed") == []


def test_an_area_has_the_days_on_which_its_paper_holds(trip: Trip) -> None:
    Stop.objects.filter(pk=trip.stop.pk).update(first_on="2027-06-17", last_on="2027-06-20")
    (allowed,) = features(trip, "allowed")
    assert (allowed["properties"]["from"], allowed["properties"]["to"]) == ("2027-06-17", "2027-06-18")


def test_areas_of_restricted_papers_are_for_their_readers(trip: Trip) -> None:
    VersionPlace.objects.filter(excluded=True).delete()
    papers = {one["properties"]["paper"] for one in features(trip, "allowed")}
    assert papers == {"COL-2027-011"}
    papers = {one["properties"]["paper"] for one in features(trip, "allowed", Role.REGISTRAR)}
    assert papers == {"COL-2027-011", "LND-2027-003"}


@pytest.fixture
def together(trip: Trip) -> Trip:
    """All that is open is settled: the permit covers its square, a consent of the owner that all may read a part of it,
    and a second permit, for birds, a far larger ground."""
    Paper.objects.update(restricted_to=EVERY_ROLE, restricted_why="")
    VersionWord.objects.exclude(version=trip.version).delete()
    VersionPerson.objects.exclude(version=trip.version).delete()
    VersionPlace.objects.exclude(version=trip.version).update(site="", geojson=packs.polygon(OWNED))
    trip.version.versionwords.filter(subject="life_stages").delete()
    for layer in (Layer.SPECIES, Layer.PROTECTED_SITE, Layer.ACCESS):
        decide(trip, layer)
    sheet = register.sheet("GE")
    for layer in (Layer.LAND, Layer.COLLECTING):
        register.rule(sheet, layer)
    _birds, version = packs.paper_on(trip.plan, "COL-2027-900", Layer.COLLECTING, trip.curator)
    VersionPlace.objects.create(version=version, geojson=packs.polygon(FAR))
    version.versiontaxons.create(name="Aves")
    found = check_plan(trip.plan, today=TODAY)
    assert {found.cells[trip.stop.pk, layer].verdict for layer in (Layer.LAND, Layer.COLLECTING)} == {Verdict.COVERED}
    return trip


OWNED = [[43.89, 42.07], [43.95, 42.07], [43.95, 42.10], [43.89, 42.10], [43.89, 42.07]]
FAR = [[43.0, 41.5], [44.5, 41.5], [44.5, 42.5], [43.0, 42.5], [43.0, 41.5]]


def test_allowed_is_what_all_layers_allow_without_what_any_paper_excludes(together: Trip) -> None:
    """By hand: the ground of the owner lies within the square, clear of its hole; the core zone lies within it."""
    allowed = features(together, "allowed")
    assert {one["properties"]["paper"] for one in allowed} == {"COL-2027-011", "LND-2027-003"}
    for one in allowed:
        assert shape(one["geometry"]).equals(shapely.Polygon(OWNED, [CORE]))
        assert one["properties"]["isSettled"] is True


def test_no_area_is_allowed_by_a_paper_on_which_nothing_rests(together: Trip) -> None:
    """The permit for birds is linked, and says nothing of dragonflies; what it excludes would bind all the same."""
    assert "COL-2027-900" not in {one["properties"]["paper"] for one in features(together, "allowed")}


def test_a_paper_of_a_country_narrows_no_ground(together: Trip) -> None:
    """Where a paper is not mapped, its ground is not known here: then nothing is cut by it."""
    VersionPlace.objects.filter(version__paper=together.consent).update(geojson="", country="GE")
    (allowed,) = features(together, "allowed")
    assert shape(allowed["geometry"]).equals(shapely.Polygon(SQUARE, [HOLE, CORE]))


def test_a_closed_season_is_no_day_of_an_allowed_area(trip: Trip) -> None:
    """Closed from 5 June on: of 3 to 6 June the area is allowed on two days."""
    trip.version.versionseasons.update(from_month=6, from_day=5, to_month=6, to_day=17)
    Stop.objects.filter(pk=trip.stop.pk).update(first_on="2027-06-03", last_on="2027-06-06")
    (allowed,) = features(trip, "allowed")
    assert (allowed["properties"]["from"], allowed["properties"]["to"]) == ("2027-06-03", "2027-06-04")


def test_names_with_marks_of_xml_come_through(trip: Trip) -> None:
    Stop.objects.filter(pk=trip.stop.pk).update(name='Weir <&> "x"\x0b')
    read = gpxpy.parse(areas_gpx(sources_of(trip)).decode())
    assert read.waypoints[0].name == '! 1 Weir <&> "x"'


def test_a_stop_without_place_is_left_out(trip: Trip) -> None:
    plans.stop(trip.plan, name="Somewhere", longitude_deg=None, latitude_deg=None, radius_m=None, position=1)
    assert [one["properties"]["stopNumber"] for one in features(trip, "stop")] == [1]
