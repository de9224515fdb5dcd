"""Stops from a pasted table, its file, or a file of places: looked at, refused whole, tried, taken.

Files of places are written by outside libraries: GPX by gpxpy, geometries by shapely, shapefiles by pyshp, workbooks by
openpyxl.
"""

from __future__ import annotations

import html
import io
import json
import re
import zipfile
from datetime import date
from typing import Any

import gpxpy.gpx
import openpyxl
import pytest
import shapefile
import shapely
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from pyproj import CRS

from accessions.intake.problems import FileProblems
from accessions.people.models import Role
from governance.plans.forms.map_file import places_text, read_places
from governance.plans.models import FieldPlan
from tests.factories import plans as f
from tests.factories import register as r

pytestmark = pytest.mark.django_db

HEADER = "Stop\tSite\tLatitude\tLongitude\tRadius\tFirst day\tLast day\tMethods\tPeople\tGroups\tExpected\tTraps\tBoots"
UPPER = (
    "Upper bridge\tSE-HAL-1\t61,95\t15,3\t200\t3 June 2027\t2027-06-05\thand net | kick net\tJ. Ek | M. Lind"
    "\tTrichoptera | Odonata\t400 | 20-50\tMalaise trap x 2 (2027-06-03/2027-06-17)\tgreen"
)
MILL = "Mill\t\t61°57.0'N\t15°18.0'E\t2 km\t\t\t\t\t\t\t\t"
GOOD = "\n".join((HEADER, UPPER, MILL))
BAD = GOOD.replace("3 June 2027", "03/06/2027").replace("61°57.0'N", "95").replace("400 | 20-50", "400")


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(r.person(Role.CURATOR))
    return client


@pytest.fixture
def plan() -> FieldPlan:
    r.site("SE-HAL-1", name="Upper bridge over the Vitån")
    return f.field_plan()


def paste(client: Client, plan: FieldPlan, text: str, **typed: Any) -> Any:
    return client.post(reverse("plans:stops-paste", args=[plan.pk]), {"text": text, **typed})


def load(client: Client, plan: FieldPlan, **typed: Any) -> Any:
    return client.post(reverse("plans:stops-load", args=[plan.pk]), typed)


# Tables ---------------------------------------------------------------------------------------------------------------


def test_a_table_is_shown_before_anything_is_saved(client: Client, plan: FieldPlan) -> None:
    answer = paste(client, plan, GOOD, look="1")
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "2 stops were read without a problem" in text
    assert "Column “Boots”: this header is not known" in text
    assert "61.95000, 15.30000 (± 200 m)" in text
    assert not plan.stops.exists()


def test_a_table_is_taken_over_in_one_click(client: Client, plan: FieldPlan) -> None:
    assert paste(client, plan, GOOD, take="1")["Location"] == reverse("plans:plan", args=[plan.pk])
    upper, mill = plan.stops.order_by("position")
    assert upper.site
    assert (upper.name, upper.site.code, upper.people) == ("Upper bridge", "SE-HAL-1", "J. Ek | M. Lind")
    assert (upper.first_on, upper.last_on) == (date(2027, 6, 3), date(2027, 6, 5))
    assert [(row.name, row.expected) for row in upper.targets.all()] == [("Trichoptera", "400"), ("Odonata", "20-50")]
    trap = upper.traps.get()
    assert (trap.method, trap.number, trap.last_on) == ("Malaise trap", 2, date(2027, 6, 17))
    assert (mill.radius_m, mill.first_on, mill.methods) == (2000, None, "")
    assert plan.versions.get().why == "stops from a table"


def test_every_problem_is_told_by_row_and_column_and_nothing_is_taken(client: Client, plan: FieldPlan) -> None:
    answer = paste(client, plan, BAD, take="1")
    text = html.unescape(answer.content.decode())
    assert answer.status_code == 422
    assert "Nothing was saved: 3 places to put right" in text
    for place in ('Row 2, column "First day"', 'Row 2, column "Expected"', 'Row 3, column "Latitude"'):
        assert place in text
    assert "could be 2027-06-03 or 2027-03-06" in text
    assert not plan.stops.exists()
    assert 'name="take"' not in text


def test_a_table_is_tried_before_it_is_taken(client: Client, plan: FieldPlan) -> None:
    answer = paste(client, plan, GOOD, what_if="1")
    assert answer.status_code == 200
    assert "Nothing is saved yet" in answer.content.decode()
    assert not plan.stops.exists()
    assert not plan.versions.exists()


def test_a_table_replaces_the_stops_of_the_plan(client: Client, plan: FieldPlan) -> None:
    kept = f.stop(plan, name="Mill")
    f.stop(plan, name="Moor")
    text = paste(client, plan, GOOD, look="1").content.decode()
    assert re.search(r'value="add"[^>]*checked', text)
    answer = client.post(
        reverse("plans:stops-paste", args=[plan.pk]), {"text": GOOD, "how": "replace", "take": "1"}, follow=True
    )
    assert "1 stop was added. 1 was changed. 1 was removed." in answer.content.decode()
    assert [stop.name for stop in plan.stops.order_by("position")] == ["Upper bridge", "Mill"]
    kept.refresh_from_db()
    assert kept.radius_m == 2000


@pytest.mark.parametrize("separator", [",", ";"])
def test_a_table_parted_by_other_signs(client: Client, plan: FieldPlan, separator: str) -> None:
    text = separator.join(("stop", "latitude", "longitude")) + "\n" + separator.join(("Mill", "61.95", "15.3"))
    paste(client, plan, text, take="1")
    assert plan.stops.get().latitude_deg == 61.95


def test_a_workbook_is_read_as_a_table(client: Client, plan: FieldPlan) -> None:
    """Days of a workbook are days, its numbers numbers; what was read of it stays in the box."""
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active.append(["Stop", "First day", "Last day", "Latitude", "Longitude", "Groups", "Expected"])
    book.active.append(["Mill", date(2027, 6, 3), date(2027, 6, 5), 61.95, 15.3, "Odonata", 400])
    buffer = io.BytesIO()
    book.save(buffer)
    file = SimpleUploadedFile("stops.xlsx", buffer.getvalue())
    answer = client.post(reverse("plans:stops-paste", args=[plan.pk]), {"file": file, "look": "1"})
    text = answer.context["form"].data["text"]
    assert "Mill\t2027-06-03\t2027-06-05\t61.95\t15.3\tOdonata\t400" in text
    paste(client, plan, text, take="1")
    stop = plan.stops.get()
    assert (stop.first_on, stop.targets.get().expected) == (date(2027, 6, 3), "400")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Paste a table with a header row"),
        ("latitude\tlongitude\n61\t15", "no column names the stops"),
        ("stop\tlat\tlatitude\nMill\t61\t61", '"lat", "latitude" all mean: Latitude'),
        ("stop\tstop\nMill\tMill", "two columns have one header"),
        ("stop\tlatitude", "no rows below the header"),
        ('{"type": "Point"}', "JSON"),
        ("stop\tmethods\nMill\thand net\tkick net", "3 cells, the header 2"),
    ],
)
def test_what_is_no_table_of_stops_says_why(client: Client, plan: FieldPlan, text: str, words: str) -> None:
    answer = paste(client, plan, text, take="1")
    assert answer.status_code == 422
    assert words.casefold() in html.unescape(answer.content.decode()).casefold()
    assert not plan.stops.exists()


def test_stops_of_one_name_are_pointed_out(client: Client, plan: FieldPlan) -> None:
    text = paste(client, plan, "stop\nMill\nmill", look="1").content.decode()
    assert "Rows 2, 3 have one name" in text


def test_too_many_rows_are_refused(client: Client, plan: FieldPlan) -> None:
    answer = paste(client, plan, "stop\n" + "\n".join(f"s{n}" for n in range(501)), take="1")
    assert "the table has 501 rows" in answer.content.decode().casefold()


def test_sites_are_asked_for_once(client: Client, plan: FieldPlan, django_assert_max_num_queries: Any) -> None:
    rows = "\n".join(f"s{n}\tSE-HAL-1" for n in range(60))
    with django_assert_max_num_queries(9):  # one asks whether duties are to be worked out again
        paste(client, plan, f"stop\tsite\n{rows}", look="1")


# Files of places ------------------------------------------------------------------------------------------------------


def gpx_file(*, close: bool) -> bytes:
    """Two waypoints and a track, which ends where it starts or not."""
    gpx = gpxpy.gpx.GPX()
    gpx.waypoints.append(gpxpy.gpx.GPXWaypoint(61.95, 15.3, name="Upper bridge"))
    gpx.waypoints.append(gpxpy.gpx.GPXWaypoint(-41.1, -71.3, elevation=700))
    corners = [(61.0, 15.0), (61.0, 15.1), (61.1, 15.1), (61.0, 15.0) if close else (61.2, 15.0)]
    segment = gpxpy.gpx.GPXTrackSegment([gpxpy.gpx.GPXTrackPoint(*corner) for corner in corners])
    track = gpxpy.gpx.GPXTrack(name="Meadow")
    track.segments.append(segment)
    gpx.tracks.append(track)
    return gpx.to_xml().encode()


def test_waypoints_become_points_and_closed_tracks_areas() -> None:
    read = read_places(gpx_file(close=True), "trip.gpx")
    bridge, nameless, meadow = (draft.values for draft in read.drafts)
    assert (bridge["name"], bridge["latitude_deg"], bridge["longitude_deg"]) == ("Upper bridge", 61.95, 15.3)
    assert (nameless["name"], nameless["latitude_deg"], nameless["longitude_deg"]) == ("Point 2", -41.1, -71.3)
    ring = shapely.Polygon([(15.0, 61.0), (15.1, 61.0), (15.1, 61.1)])
    assert meadow["name"] == "Meadow"
    assert shapely.from_geojson(meadow["area"]).equals(ring)
    assert read.left_out == ()


def test_a_track_that_does_not_close_is_named_and_left_out() -> None:
    read = read_places(gpx_file(close=False), "trip.gpx")
    assert [draft.values["name"] for draft in read.drafts] == ["Upper bridge", "Point 2"]
    (left,) = read.left_out
    assert 'track "Meadow"' in left
    assert "not closed" in left


def geojson_file(*geometries: shapely.Geometry, **properties: Any) -> bytes:
    features = [
        {"type": "Feature", "properties": properties, "geometry": json.loads(shapely.to_geojson(geometry))}
        for geometry in geometries
    ]
    return json.dumps({"type": "FeatureCollection", "features": features}).encode()


def test_geojson_of_points_areas_and_lines() -> None:
    area = shapely.box(15, 61, 15.1, 61.1)
    line = shapely.LineString([(15, 61), (16, 62)])
    read = read_places(geojson_file(shapely.Point(15.3, 61.95), area, line, Name="Mire"), "places.geojson")
    point, mire = (draft.values for draft in read.drafts)
    assert (point["name"], point["latitude_deg"], point["longitude_deg"]) == ("Mire", 61.95, 15.3)
    assert shapely.from_geojson(mire["area"]).equals(area)
    assert ["a line is no place" in text for text in read.left_out] == [True]


def test_what_was_read_is_sent_again_and_read_the_same() -> None:
    read = read_places(gpx_file(close=True), "trip.gpx")
    again = read_places(places_text(read).encode(), "the file")
    assert [dict(draft.values) for draft in again.drafts] == [dict(draft.values) for draft in read.drafts]


def test_kml_and_kmz() -> None:
    """Elements and the order longitude, latitude: OGC 12-007r2 (KML 2.3)."""
    kml = (
        b'<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark><name>Spring</name><Point><coordinates>'
        b"15.3,61.95,0</coordinates></Point></Placemark><Placemark><name>Mire</name><Polygon><outerBoundaryIs><LinearRing>"
        b"<coordinates>15,61 15.1,61 15.1,61.1 15,61</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>"
        b"<Placemark><name>Path</name><LineString><coordinates>15,61 16,62</coordinates></LineString></Placemark>"
        b"</Document></kml>"
    )
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("doc.kml", kml)
    for data in (kml, packed.getvalue()):
        read = read_places(data, "places")
        spring, mire = (draft.values for draft in read.drafts)
        assert (spring["name"], spring["latitude_deg"], spring["longitude_deg"]) == ("Spring", 61.95, 15.3)
        assert (mire["name"], shapely.from_geojson(mire["area"]).area) == (
            "Mire",
            pytest.approx(0.005),
        )  # 0.1 * 0.1 / 2
        assert 'placemark "Path"' in read.left_out[0]


def test_a_zipped_shapefile_of_areas() -> None:
    parts = {kind: io.BytesIO() for kind in ("shp", "shx", "dbf")}
    with shapefile.Writer(**parts, shapeType=shapefile.POLYGON) as writer:
        writer.field("CODE", "N")
        writer.field("NAME", "C")
        writer.poly([[(15, 61), (15, 61.1), (15.1, 61.1), (15, 61)]])
        writer.record(7, "Mire")
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for kind, part in parts.items():
            archive.writestr(f"mires.{kind}", part.getvalue())
        archive.writestr("mires.prj", CRS.from_epsg(4326).to_wkt("WKT1_ESRI"))
    (draft,) = read_places(packed.getvalue(), "mires.zip").drafts
    assert draft.values["name"] == "Mire"
    assert shapely.from_geojson(draft.values["area"]).area == pytest.approx(0.005)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"not a map", "no file of places"),
        (b"<html></html>", "neither KML nor GPX"),
        (geojson_file(shapely.LineString([(15, 61), (16, 62)])), "a line is no place"),
        (geojson_file(shapely.Point(15, 95)), "not on the globe"),
        (geojson_file(), "neither a point nor an area"),
        (b'{"type": "FeatureCollection", "features": "x"}', "neither a point nor an area"),
        (b'{"type": "Feature", "geometry": {"type": "Point"}}', "not on the globe"),
        (b"<!DOCTYPE x><gpx/>", "document type"),
        (b"PK\x03\x04broken", "cannot be opened"),
    ],
)
def test_what_holds_no_place_says_so(data: bytes, words: str) -> None:
    with pytest.raises(FileProblems) as refused:
        read_places(data, "file")
    assert words in str(refused.value)


def test_places_are_shown_then_taken(client: Client, plan: FieldPlan) -> None:
    file = SimpleUploadedFile("trip.gpx", gpx_file(close=True))
    shown = load(client, plan, file=file, radius_m="2 km", country="Sweden", look="1")
    assert "3 places were read" in shown.content.decode()
    assert not plan.stops.exists()
    places = shown.context["form"].data["places"]
    assert load(client, plan, places=places, radius_m="2 km", country="Sweden", take="1").status_code == 302
    bridge, _nameless, meadow = plan.stops.order_by("position")
    assert (bridge.radius_m, bridge.country, bridge.area) == (2000, "SE", "")
    assert (meadow.radius_m, meadow.longitude_deg, meadow.country) == (None, None, "SE")


def test_places_replace_those_of_stops_of_the_same_name(client: Client, plan: FieldPlan) -> None:
    """What the file does not say stays: days, people, groups."""
    stop = f.stop(plan, name="Upper bridge", area="", longitude_deg=1.0, latitude_deg=1.0)
    f.target(stop)
    file = SimpleUploadedFile("trip.gpx", gpx_file(close=True))
    load(client, plan, file=file, how="replace", take="1")
    stop.refresh_from_db()
    assert (stop.latitude_deg, stop.people, stop.targets.count()) == (61.95, "J. Ek", 1)


@pytest.mark.parametrize(
    ("typed", "words"),
    [({}, "Choose a file"), ({"radius_m": "0"}, "more than zero"), ({"country": "Atlantis"}, "no country")],
)
def test_a_load_that_cannot_be(client: Client, plan: FieldPlan, typed: dict[str, str], words: str) -> None:
    answer = load(client, plan, take="1", **typed)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not plan.stops.exists()


def test_a_file_with_a_mistake_in_it_is_refused(client: Client, plan: FieldPlan) -> None:
    answer = load(client, plan, file=SimpleUploadedFile("x.gpx", b"<gpx><wpt"), take="1")
    assert answer.status_code == 422
    assert "cannot be read" in answer.content.decode()


@pytest.mark.parametrize(
    ("header", "cell", "is_noted"),
    [
        ("people", "J. Ek; M. Lind", True), ("people", "J. Ek & M. Lind", True), ("people", "Ek, J.", False),
        ("people", "J. Ek | M. Lind", False), ("gear", "hand net, kick net", True),
        ("groups", "Odonata; Diptera", True),
    ],
)  # fmt: skip
def test_a_list_that_is_read_as_one_entry_is_pointed_out(
    client: Client, plan: FieldPlan, header: str, cell: str, is_noted: bool
) -> None:
    """Nothing is guessed: Darwin Core parts the entries of a list by a vertical bar."""
    text = html.unescape(paste(client, plan, f"where\t{header}\nUpper bridge\t{cell}", look="1").content.decode())
    assert (f"“{cell}” is read as one entry" in text or f'"{cell}" is read as one entry' in text) == is_noted
