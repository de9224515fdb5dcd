"""Sites: their actions, and their pages through the client."""

from __future__ import annotations

import json
from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from accessions.material.models import Touch
from accessions.people.models import Role
from accessions.sites.actions.periods import add_period, change_period, remove_period
from accessions.sites.actions.sites import change_site, create_site
from accessions.sites.models import Site, SiteBoundary, SiteDesignation, SiteTenure
from accessions.sites.outlines import read_outline
from governance.papers.models import VersionPlace
from tests.factories import register, scans

pytestmark = pytest.mark.django_db

SQUARE = [[13.0, 57.0], [13.1, 57.0], [13.1, 57.1], [13.0, 57.1], [13.0, 57.0]]
GEOJSON = json.dumps({"type": "Polygon", "coordinates": [SQUARE]})


def client_of(role: str = Role.CURATOR) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def disc(**days: date | None) -> dict[str, object]:
    return {"longitude_deg": 13.0, "latitude_deg": 57.0, "radius_m": 50.0, **days}


def test_a_site_is_found_by_its_folded_code_and_name() -> None:
    site = create_site(by=register.person(), why="list", code="SE-HAL-1", name="Hällsjön   Shore")
    assert (site.code_key, site.name_key) == ("se-hal-1", "hällsjön shore")
    assert [(touch.scope, touch.key) for touch in Touch.objects.all()] == [("site", site.pk)]


def test_a_new_name_changes_the_key_too() -> None:
    site = register.site("SE-HAL-1", name="Old")
    assert change_site(site, by=register.person(), why="renamed", name="New Name") == ["name"]
    site.refresh_from_db()
    assert site.name_key == "new name"


def test_a_code_that_differs_in_capitals_alone_is_the_same_code() -> None:
    register.site("SE-HAL-1")
    with pytest.raises(ValidationError, match="Another site has this code"):
        create_site(by=register.person(), why="x", code="se-hal-1")


def test_boundaries_follow_one_another_day_by_day() -> None:
    """The first ends on 31 December; a second from 1 January stands, one from 31 December would hold beside it."""
    curator, site = register.person(), register.site()
    add_period(SiteBoundary, site, by=curator, why="map", **disc(held_to=date(2019, 12, 31)))
    with pytest.raises(ValidationError, match="overlap with the boundary held from the beginning to 31 December 2019"):
        add_period(SiteBoundary, site, by=curator, why="map", **disc(held_from=date(2019, 12, 31)))
    add_period(SiteBoundary, site, by=curator, why="map", **disc(held_from=date(2020, 1, 1)))
    assert site.boundaries.count() == 2


def test_a_boundary_is_not_changed_into_another() -> None:
    curator, site = register.person(), register.site()
    first = add_period(SiteBoundary, site, by=curator, why="map", **disc(held_to=date(2019, 12, 31)))
    add_period(SiteBoundary, site, by=curator, why="map", **disc(held_from=date(2020, 1, 1)))
    with pytest.raises(ValidationError, match="overlap"):
        change_period(first, by=curator, why="x", held_to=date(2020, 1, 1))
    first.refresh_from_db()
    assert first.held_to == date(2019, 12, 31)


def test_two_owners_may_hold_a_site_together() -> None:
    curator, site = register.person(), register.site()
    for name in ("A. Ek", "B. Lund"):
        add_period(SiteTenure, site, by=curator, why="deed", agent=register.agent(name), kind="owner")
    assert site.tenures.count() == 2


def test_a_designation_ends_and_keeps_its_history() -> None:
    curator, site = register.person(), register.site()
    reserve = add_period(SiteDesignation, site, by=curator, why="act", name="Shore Reserve", category="IV")
    assert change_period(reserve, by=curator, why="repealed", held_to=date(2021, 5, 1)) == ["held_to"]
    assert reserve.history.first().history_change_reason == "repealed"
    remove_period(reserve, by=curator, why="never was")
    assert not site.designations.exists()
    assert SiteDesignation.history.filter(history_type="-").get().history_change_reason == "never was"


@pytest.mark.parametrize(
    "text",
    [
        GEOJSON,
        json.dumps({"type": "Feature", "properties": {}, "geometry": json.loads(GEOJSON)}),
        json.dumps({"type": "FeatureCollection", "features": [{"type": "Feature", "geometry": json.loads(GEOJSON)}]}),
        "POLYGON ((13 57, 13.1 57, 13.1 57.1, 13 57.1, 13 57))",
    ],
)
def test_an_outline_is_read_from_geojson_and_wkt(text: str) -> None:
    read = json.loads(read_outline(text))
    assert read["type"] == "Polygon"
    assert {tuple(point) for point in read["coordinates"][0]} == {tuple(point) for point in SQUARE}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Nothing was pasted"),
        ("a line", "polygon"),
        ("{not json", "no GeoJSON"),
        ('{"type": "Point", "coordinates": [13, 57]}', "other than polygons"),
        ('{"type": "FeatureCollection", "features": []}', "or nothing"),
        ('{"type": "FeatureCollection", "features": 7}', "or nothing"),
        ("LINESTRING (13 57, 14 58)", "no inside"),
        ("POLYGON ((13 57, 13.1 57.1, 13.1 57, 13 57.1, 13 57))", "crosses itself"),
        ("POLYGON ((13 57, 13.1 57, 13.1 57.1))", "not closed"),
        ("POLYGON ((13 97, 13.1 97, 13.1 97.1, 13 97))", "90 of latitude"),
    ],
)
def test_an_outline_that_is_none_is_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        read_outline(text)


def test_the_list_is_searched_filtered_and_exported(django_assert_num_queries: object) -> None:
    register.boundary(register.site("GE-NAZ-1", name="Upper bridge"))
    register.site("SE-HAL-1", name="Hällsjön")
    client = client_of(Role.AUDITOR)
    shown = client.get(reverse("sites:sites"), {"q": "HÄLLSJÖN"}).content.decode()
    assert "SE-HAL-1" in shown and "GE-NAZ-1" not in shown
    assert "GE-NAZ-1" not in client.get(reverse("sites:sites"), {"boundary": "missing"}).content.decode()
    lines = client.get(reverse("sites:sites-export"), {"country": "GE"}).getvalue().decode("utf-8-sig")
    assert lines.splitlines() == [
        "locationID,siteName,countryCode,subdivision,boundary,owners now,events,remarks",
        "GE-NAZ-1,Upper bridge,GE,,known,,0,",
    ]


@pytest.mark.parametrize("number", [1, 12])
def test_the_list_costs_the_same_whatever_its_length(number: int, django_assert_num_queries: object) -> None:
    """Session, person, countries of the filter, all, count, page, owners; the seventh and eighth open a transaction."""
    for n in range(number):
        site = register.site(f"GE-{n}")
        SiteTenure.objects.create(site=site, agent=register.agent(f"Owner {n}"))
    client = client_of(Role.AUDITOR)
    with django_assert_num_queries(7):  # type: ignore[operator]
        client.get(reverse("sites:sites"))


def test_one_site_shows_its_boundaries_papers_and_events(django_assert_max_num_queries: object) -> None:
    site = register.site("GE-NAZ-1", name="Upper bridge")
    register.boundary(site, held_from=date(2019, 3, 1))
    register.specimen("S-1", event=register.event("NAZ-1", site=site))
    version = register.version(register.paper("LND-2024-117"))
    VersionPlace.objects.create(version=version, site="ge-naz-1", excluded=True)
    client = client_of(Role.AUDITOR)
    for n in range(3):
        scans.filing(scans.scan(f"letter {n}".encode(), stored=False), site=site)
    with django_assert_max_num_queries(25):  # type: ignore[operator]
        page = " ".join(client.get(reverse("sites:site", args=[site.pk])).content.decode().split())
    assert "1 boundary is recorded" in page
    assert "1 specimen was taken here; 1 paper names the site or is linked to it." in page
    assert "LND-2024-117" in page and "leaves it out by name" in page
    assert "1 Mar 2019" in page and "500 m around" in page


def test_a_site_is_entered_and_changed_on_its_pages() -> None:
    client = client_of()
    answer = client.post(reverse("sites:site-new"), {"code": "SE-HAL-1", "name": "Hällsjön", "country": "se"})
    site = Site.objects.get()
    assert answer.headers["Location"] == reverse("sites:site", args=[site.pk])
    assert site.country == "SE"
    refused = client.post(reverse("sites:site-edit", args=[site.pk]), {"code": "SE-HAL-1", "name": "Other"})
    assert "This field is required" in refused.content.decode()  # the reason
    client.post(reverse("sites:site-edit", args=[site.pk]), {"code": "SE-HAL-1", "name": "Other", "why": "renamed"})
    site.refresh_from_db()
    assert (site.name, site.country) == ("Other", "")


def test_a_pasted_boundary_is_kept_and_a_faulty_one_is_told() -> None:
    client, site = client_of(), register.site()
    address = reverse("sites:boundary-new", args=[site.pk])
    told = client.post(address, {"polygon": "POLYGON ((13 57, 13.1 57.1, 13.1 57, 13 57.1, 13 57))"}).content.decode()
    assert "crosses itself" in told
    both = client.post(address, {"polygon": GEOJSON, "longitude_deg": "13", "latitude_deg": "57", "radius_m": "5"})
    assert "Give either a polygon, or a point with its radius" in both.content.decode()
    assert client.post(address, {"polygon": GEOJSON, "held_from": "2020-01-01"}).status_code == 302
    assert json.loads(site.boundaries.get().polygon)["type"] == "Polygon"


def test_a_boundary_is_taken_from_a_file() -> None:
    client, site = client_of(), register.site()
    address = reverse("papers:site-boundary", args=[site.pk])
    told = client.post(address, {"file": SimpleUploadedFile("shore.geojson", b'{"type": "Point"')}).content.decode()
    assert "shore.geojson" in told
    assert not site.boundaries.exists()
    answer = client.post(address, {"file": SimpleUploadedFile("shore.geojson", GEOJSON.encode()), "error_m": "5"})
    assert answer.status_code == 302
    boundary = site.boundaries.get()
    assert (json.loads(boundary.polygon)["type"], boundary.error_m) == ("Polygon", 5)
    assert boundary.history.get().history_change_reason == "from the file shore.geojson"


def test_a_boundary_is_removed_only_after_the_question() -> None:
    client, boundary = client_of(), register.boundary(register.site())
    address = reverse("sites:boundary-remove", args=[boundary.pk])
    assert "Remove" in client.get(address).content.decode()
    assert SiteBoundary.objects.exists()
    client.post(address, {"why": "wrong map"})
    assert not SiteBoundary.objects.exists()
