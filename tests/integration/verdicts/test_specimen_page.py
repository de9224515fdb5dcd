"""The page of a specimen: answer, reasons with their measures, papers of the day, facts as written, history."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from accessions.material.models import Specimen
from accessions.material.touches import Scope, touch
from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper, PaperVersion, VersionPlace
from governance.verdicts.actions import assess
from governance.verdicts.models import Result, Ruling, Run, Standing
from governance.verdicts.queries.specimen_drawings import map_areas, map_points, time_rows
from governance.verdicts.queries.specimen_page import SpecimenPage, page_specimen, specimen_page
from tests.factories import register

pytestmark = pytest.mark.django_db

SQUARE = '{"type":"Polygon","coordinates":[[[43.86,42.06],[43.95,42.06],[43.95,42.10],[43.86,42.10],[43.86,42.06]]]}'
"""Holds the place of ``register.event`` (42.084 N, 43.903 E), more than 1 km inside."""

QUERIES = 61
"""Of the page with every panel filled, the session and the person included."""


@dataclass
class Setting:
    """A specimen taken three days after its landowner's consent ended; a permit to collect covers it."""

    specimen: Specimen
    land: Paper
    collecting: Paper


@pytest.fixture
def setting() -> Setting:
    site = register.site()
    register.boundary(site)
    accession = register.accession()
    taken = register.event("NAZ24-01", site=site)
    specimen = register.specimen("LMN-FW-0241858", accession=accession, event=taken)
    land = register.paper("LND-2024-117", (Layer.LAND,), kind="landowner-consent")
    for first, last in (("2024-05-01", "2024-05-21"), ("2024-05-22", "2024-06-14")):
        VersionPlace.objects.create(version=register.version(land, first, last), geojson=SQUARE)
    collecting = register.paper()
    VersionPlace.objects.create(version=register.version(collecting), geojson=SQUARE)
    register.link(land, accession=accession)
    register.link(collecting, accession=accession)
    sheet = register.sheet("GE")
    for layer in Layer:
        register.rule(sheet, layer, layer in (Layer.LAND, Layer.COLLECTING))
    return Setting(specimen, land, collecting)


@pytest.fixture
def assessed(setting: Setting) -> Setting:
    assess(by=None, why="First assessment")
    return setting


@pytest.fixture
def curator(client: Client) -> Client:
    client.force_login(register.person(Role.CURATOR))
    return client


def words(response: Any) -> str:
    """The text of a page, without tags."""
    body = response.content.decode()
    main = body[body.index("<main") : body.index("</main>")]
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", main)).split())


def shown(client: Client, specimen: Specimen, query: str = "") -> str:
    response = client.get(reverse("verdicts:specimen", args=[specimen.pk]) + query)
    assert response.status_code == 200
    return words(response)


def loaded(specimen: Specimen) -> SpecimenPage:
    found = page_specimen(specimen.pk)
    assert found is not None
    return specimen_page(found)


def test_answer_names_the_layers_that_need_a_look(curator: Client, assessed: Setting) -> None:
    text = shown(curator, assessed.specimen)
    assert "One of nine layers needs a look: land. The others are covered or not required." in text


def test_reason_has_measure_sentence_and_what_settles_it(curator: Client, assessed: Setting) -> None:
    """17 June is three days after 14 June."""
    text = shown(curator, assessed.specimen)
    assert "3 days after the end date" in text
    assert "Collected 17 June 2024, 3 days after the end date of LND-2024-117 ." in text
    assert "To settle it: a later paper or an extension" in text
    assert "shares this reason" not in text, "no other specimen has it"


def test_strip_names_paper_version_and_day(curator: Client, assessed: Setting) -> None:
    text = shown(curator, assessed.specimen)
    assert "Outside terms 3 days after the end date LND-2024-117 v2" in text
    assert "Covered 17 Jun 2024, by COL-2024-052 v1" in text
    address = reverse("papers:paper", args=[assessed.land.pk])
    assert (
        f'<a class="ref" href="{address}">LND-2024-117</a>'
        in curator.get(reverse("verdicts:specimen", args=[assessed.specimen.pk])).content.decode()
    )


def test_others_that_share_the_reason_are_counted(curator: Client, setting: Setting) -> None:
    """Two more of the same event share it; one of another day does not."""
    for _ in range(2):
        register.specimen(accession=setting.specimen.accession, event=setting.specimen.event)
    register.specimen(accession=setting.specimen.accession, event=register.event(day="2024-06-10"))
    assess(by=None, why="First assessment")
    response = curator.get(reverse("verdicts:specimen", args=[setting.specimen.pk]))
    assert "2 other specimens share this reason." in words(response)
    link = re.search(r'href="([^"]+\?reason=\d+)"', response.content.decode())
    assert link is not None
    listed = curator.get(link[1]).content.decode()
    assert all(number in listed for number in Specimen.objects.filter(event=setting.specimen.event)
               .values_list("catalog_number", flat=True))  # fmt: skip


def test_every_test_of_a_layer_is_in_the_table(curator: Client, assessed: Setting) -> None:
    """Land: the dates say no by 3 days, the area yes, and the paper sets no other limit."""
    table = shown(curator, assessed.specimen).split("Every test, layer by layer")[1].split("Papers around")[0]
    assert "Land 17 Jun 2024 LND-2024-117 v2 no, 3 days yes" in table
    assert "Collecting 17 Jun 2024 COL-2024-052 v1 yes yes" in table
    assert table.count("By the rules on file this layer was not required.") == 7


def test_paper_without_places_sets_no_limit_to_the_place_of_a_transfer(curator: Client) -> None:
    """Contract, section 4: on import, cites and transfer a paper that lists no place sets no limit."""
    accession = register.accession()
    delivery = register.delivery(accession, transferred_on="2024-06-26")
    specimen = register.specimen(accession=accession, delivery=delivery)
    paper = register.paper("MTA-1", (Layer.TRANSFER,))
    register.version(paper, "2024-06-20", None)
    register.link(paper, accession=accession)
    register.rule(register.sheet("GE"), Layer.TRANSFER)
    assess(by=None, why="First assessment")
    assert "Transfer 26 Jun 2024 MTA-1 v1 yes – no limit" in shown(curator, specimen)


def test_facts_stand_as_written_with_what_was_read(curator: Client, setting: Setting) -> None:
    vague = register.event("", "", event_date="2024-06", reading="vague", earliest_on=date(2024, 6, 1),
                           latest_on=date(2024, 6, 30), radius_m=None, coordinate_uncertainty_m="")  # fmt: skip
    specimen = register.specimen(accession=setting.specimen.accession, event=vague, individual_count="many",
                                 count_low=1, count_high=None)  # fmt: skip
    assess(by=None, why="First assessment")
    text = shown(curator, specimen)
    assert "Collected 2024-06 read as 1 June 2024 to 30 June 2024" in text
    assert "42.084° N 43.903° E, WGS84; uncertainty not recorded, ±1000 m assumed" in text
    assert "many read as 1 or more" in text
    assert "decimalLatitude 42.084" in text, "every column as written"


def test_before_the_first_assessment(curator: Client, setting: Setting) -> None:
    text = shown(curator, setting.specimen)
    assert "Not assessed yet. Its verdicts appear here after the next assessment." in text
    assert "42.084" in text, "the facts are there"


def test_change_that_is_not_worked_out_yet_is_said(curator: Client, assessed: Setting) -> None:
    touch(Scope.PAPER, [assessed.land.pk], by=None, why="consent extended")
    touch(Scope.ACCESSION, [assessed.specimen.accession_id + 1], by=None, why="not this one")
    text = shown(curator, assessed.specimen)
    assert "A change is being worked out: consent extended." in text


def test_history_tells_from_which_verdict_to_which(curator: Client, assessed: Setting) -> None:
    PaperVersion.objects.filter(paper=assessed.land, in_force_to="2024-06-14").update(in_force_to="2024-06-20")
    assess(by=register.person(Role.CURATOR), why="Consent extended")
    history = shown(curator, assessed.specimen).split("History of verdicts")[1]
    assert "Land: Outside terms → Covered" in history
    assert "Nora Curator Consent extended" in history
    assert "First verdicts , 1 layer needed a look" in history
    assert history.index("Consent extended") < history.index("First assessment"), "newest first"


def test_run_that_stopped_leaves_no_history(curator: Client, assessed: Setting) -> None:
    standing = Standing.objects.get(pk=assessed.specimen.pk)
    stopped = Run.objects.create(state=Run.State.STOPPED, engine_version="1", scope="all", why="broke off")
    Result.objects.create(run=stopped, specimen=assessed.specimen, ruling=standing.ruling, event=standing.event,
                          name=standing.name)  # fmt: skip
    assert "broke off" not in shown(curator, assessed.specimen)


def test_way_to_the_neighbours_follows_the_list(curator: Client, setting: Setting) -> None:
    """By number: the one before and the one after; a filter that only this one passes leaves none."""
    before = register.specimen("LMN-FW-0000001", accession=setting.specimen.accession)
    after = register.specimen("LMN-FW-0999999", accession=register.accession("LMN-2025-001"))
    assess(by=None, why="First assessment")
    response = curator.get(reverse("verdicts:specimen", args=[setting.specimen.pk]) + "?sort=specimen")
    assert (response.context["before"], response.context["after"]) == (before.pk, after.pk)
    response = curator.get(
        reverse("verdicts:specimen", args=[setting.specimen.pk]) + "?sort=specimen&accession=LMN-2024-038"
    )
    assert (response.context["before"], response.context["after"]) == (before.pk, None)


def test_volunteer_reads_and_decides_nothing(client: Client, assessed: Setting) -> None:
    client.force_login(register.person(Role.VOLUNTEER))
    text = shown(client, assessed.specimen)
    assert "3 days after the end date" in text
    assert "Edit facts" in text
    assert not any(deed in text for deed in ("Overrule", "Link a paper", "Record a search"))


def test_auditor_finds_no_deed(client: Client, assessed: Setting) -> None:
    client.force_login(register.person(Role.AUDITOR))
    text = shown(client, assessed.specimen)
    assert not any(deed in text for deed in ("Edit facts", "Overrule", "Link a paper", "Record a search"))


def test_stranger_is_sent_to_sign_in_and_no_specimen_is_not_found(client: Client, setting: Setting) -> None:
    address = reverse("verdicts:specimen", args=[setting.specimen.pk])
    assert client.get(address).url.startswith(reverse("people:sign-in"))  # type: ignore[attr-defined]
    client.force_login(register.person(Role.AUDITOR))
    assert client.get(reverse("verdicts:specimen", args=[10**9])).status_code == 404
    assert client.post(address).status_code == 405


def test_queries_do_not_grow(curator: Client, setting: Setting, django_assert_num_queries: Any) -> None:
    """Every panel filled: parts taken, determinations, a search, decisions, versions with all terms."""
    for n in range(3):
        register.specimen(accession=setting.specimen.accession, event=setting.specimen.event,
                          parent=setting.specimen, kind="part", preparation=f"leg {n}")  # fmt: skip
        paper = register.paper(f"EXTRA-{n}", (Layer.LAND,))
        VersionPlace.objects.create(version=register.version(paper), site="GE-NAZ-1")
        register.link(paper, accession=setting.specimen.accession)
    assess(by=None, why="First assessment")
    address = reverse("verdicts:specimen", args=[setting.specimen.pk])
    with django_assert_num_queries(QUERIES):
        curator.get(address)
    for n in range(4):
        paper = register.paper(f"MORE-{n}", (Layer.LAND,))
        VersionPlace.objects.create(version=register.version(paper), site="GE-NAZ-1")
        register.link(paper, accession=setting.specimen.accession)
        register.specimen(accession=setting.specimen.accession, event=setting.specimen.event)
    assess(by=None, why="again")
    with django_assert_num_queries(QUERIES):
        curator.get(address)


def test_map_shows_place_areas_and_site(assessed: Setting) -> None:
    page = loaded(assessed.specimen)
    (point,) = map_points(page)
    assert (point.longitude_deg, point.latitude_deg, point.radius_m) == (43.903, 42.084, 30)
    assert (point.data_v, point.word) == ("outside", "Outside terms")
    assert [(area.kind.name, area.label) for area in map_areas(page, register.person())] == [
        ("PERMITTED", "LND-2024-117 v2"), ("PERMITTED", "COL-2024-052 v1"), ("SITE", "Nazvri, upper bridge"),
    ]  # fmt: skip


def test_footprint_is_drawn_and_no_position_is_no_point(setting: Setting) -> None:
    wkt = "POLYGON ((43.9 42.08, 43.91 42.08, 43.91 42.09, 43.9 42.08))"
    event = register.event(footprint_wkt=wkt, longitude_deg=None, latitude_deg=None, radius_m=None)
    specimen = register.specimen(event=event)
    page = loaded(specimen)
    assert map_points(page) == []
    assert [area.kind.name for area in map_areas(page, register.person())] == ["FOOTPRINT"]


def test_timeline_has_a_row_a_paper_and_the_days(assessed: Setting) -> None:
    unread = register.paper("TRA-1", (Layer.TRANSFER,))
    register.link(unread, specimen=assessed.specimen)
    rows = time_rows(loaded(assessed.specimen))
    assert [(row.label, row.sub) for row in rows] == [
        ("Land", "LND-2024-117"), ("Collecting", "COL-2024-052"), ("Transfer", "TRA-1"), ("LMN-FW-0241858", ""),
    ]  # fmt: skip
    assert [(band.label, band.first, band.last) for band in rows[0].bands] == [
        ("v1", date(2024, 5, 1), date(2024, 5, 21)), ("v2", date(2024, 5, 22), date(2024, 6, 14)),
    ]  # fmt: skip
    assert [band.label for band in rows[2].bands] == ["on file, not read yet"]
    assert [(event.label, event.needs_look) for event in rows[3].happenings] == [("collected 17 Jun", True)]


def test_larger_map_repeats_its_content_in_a_table(curator: Client, assessed: Setting) -> None:
    text = words(curator.get(reverse("verdicts:specimen-map", args=[assessed.specimen.pk])))
    assert "Latitude 42.0840, longitude 43.9030. 3 areas are drawn." in text
    assert "LND-2024-117 v2 permitted area" in text


def test_ruling_of_the_setting_is_what_it_is_meant_to_be(assessed: Setting) -> None:
    """Land outside (4), collecting covered (0), the others not required (1)."""
    strip = Ruling.objects.get(standings=assessed.specimen.pk).strip
    assert strip == f"{Verdict.OUTSIDE}{Verdict.COVERED}" + "1" * 7
