"""The page of a plan: the answer, the matrix, what to start, papers; as a page, as a part of it, as a file.

Start days are reckoned by hand: the day on which a paper is needed less the lead time of the country sheet.
"""

from __future__ import annotations

import csv
import io
import json
import re
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook

from accessions.people.access import EVERY_ROLE, role_bits
from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.papers import actions as paper_actions
from governance.papers.drawing import AreaKind
from governance.papers.models import Paper, PaperStatus, VersionPlace
from governance.plans.models import FieldPlan, PlanPaper, Stop
from governance.plans.queries.check import check_plan
from governance.plans.queries.one_plan import speaking_papers
from governance.plans.queries.plan_map import plan_map
from governance.verdicts.caution import CAUTION
from tests.factories import plans as f
from tests.factories import register as r
from tests.factories.paper_objects import paper_object

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 26)


@pytest.fixture(autouse=True)
def today(monkeypatch: pytest.MonkeyPatch) -> None:
    """The day of all tests: lead times are counted from it."""
    monkeypatch.setattr(timezone, "localdate", lambda *_: TODAY)


@pytest.fixture
def plan() -> FieldPlan:
    """Two stops in Sweden, whose sheet requires a collecting permit (90 days) and no consent of the owner."""
    sheet = r.sheet("SE", authority="Sundvik Nature Office", contact="desk 4")
    r.rule(sheet, Layer.COLLECTING, lead_days=90)
    r.rule(sheet, Layer.LAND, required=False)
    made = f.field_plan(reference="FP-2027-07", title="Brooks of Jämtland")
    f.target(f.stop(made, name="Upper brook"))
    f.target(f.stop(made, name="Lower brook", position=1))
    return made


def client_of(role: str) -> Client:
    client = Client()
    client.force_login(r.person(role))
    return client


def page(plan: FieldPlan, role: str = Role.CURATOR, query: str = "") -> str:
    answer = client_of(role).get(reverse("plans:plan", args=[plan.pk]) + query)
    assert answer.status_code == 200
    return str(answer.content.decode())


def words(text: str) -> str:
    """What a reader sees: no tags, one space between words."""
    text = re.sub(r"<(script|style|svg|option)\b.*?</\1>", " ", text, flags=re.DOTALL)
    return " ".join(re.sub(r"<[^>]+>", " ", text).replace("&nbsp;", " ").split())


def permit(plan: FieldPlan, last: str = "2027-06-08", **face: Any) -> Paper:
    """A collecting permit for all Sweden from 1 June, linked to the plan."""
    data = paper_object(
        "COL-1", jurisdiction="SE", versions=[{"in_force_from": "2027-06-01", "in_force_to": last}], **face
    )
    paper = paper_actions.register(data=data, by=r.person(Role.REGISTRAR), why="from the scan")
    f.attach(plan, paper, r.person())
    return paper


def cell(text: str, stop: Stop, layer: str) -> str:
    """The words of one cell of the matrix."""
    found = re.search(rf'<td(?:(?!<td).)*id="s{stop.pk}-{layer}".*?</td>', text, re.DOTALL)
    assert found, f"no cell {layer} of {stop}"
    return words(found[0])


def test_answer_names_what_to_start_first(plan: FieldPlan) -> None:
    """Needed on 3 June 2027; 90 days earlier is 5 March 2027 (3 of June, 31 of May, 30 of April, 26 of March)."""
    text = words(page(plan))
    assert "Not ready: 16 of 18 cells need a look before anyone travels." in text
    assert "The first thing to start is the collecting permit, by 5 March 2027." in text
    assert "The collecting permit decides: it takes 90 days." in text
    assert CAUTION.split(".")[0] in text


def test_start_that_has_passed_is_late(plan: FieldPlan) -> None:
    """First day 14 February 2027, 90 days earlier is 16 November 2026 (14 + 31 + 31 + 14): ten days ago."""
    plan.stops.update(first_on=date(2027, 2, 14), last_on=date(2027, 2, 15))
    text = words(page(plan))
    assert "Late: 16 of 18 cells need a look" in text
    assert "to be started by 16 November 2026" in text
    assert "10 days late" in text


def test_what_is_not_known_is_said(plan: FieldPlan) -> None:
    """Layers without a rule have no lead time; a stop in a country without a sheet has nobody to ask."""
    f.stop(plan, name="Over the border", country="NO", position=2)
    text = words(page(plan))
    assert "How long it takes is not known: no rule of the sheet says." in text
    assert "Norway, stop 3" in text
    assert "Norway has no country sheet: whether land, collecting" in text
    assert "Ask there what is required, then enter the sheet." in text
    assert "the day to start by is not known" in text


def test_every_layer_has_its_column_and_every_cell_its_way_in(plan: FieldPlan) -> None:
    text = page(plan)
    table = text.split('class="tbl mx', 1)[1].split("</table>")[0]
    assert len(re.findall(r"<th scope=\"col\"", table)) == 1 + 9
    for stop in plan.stops.all():
        for layer in Layer:
            address = reverse("plans:plan-cell", args=[plan.pk, stop.pk, layer.code])
            assert table.count(f'href="{address}"') == 1


def test_covered_cell_has_paper_and_margin(plan: FieldPlan) -> None:
    """The paper ends on 8 June, the last day is 5 June: three days after."""
    permit(plan)
    first = plan.stops.get(name="Upper brook")
    assert cell(page(plan), first, "collecting").endswith("Covered COL-1 ends 3 days after the last day")


def test_gap_says_its_measure_and_start(plan: FieldPlan) -> None:
    """The paper ends on 2 June, the first day is 3 June: one day after, whoever counts."""
    permit(plan, last="2027-06-02")
    said = cell(page(plan), plan.stops.get(name="Upper brook"), "collecting")
    assert "Outside terms" in said
    assert "1 day after the end date" in said
    assert "start by 5 Mar" in said


def test_ready_when_nothing_is_open(plan: FieldPlan) -> None:
    permit(plan)
    for layer in Layer:
        if layer not in (Layer.COLLECTING, Layer.LAND):
            f.decision(plan, layer)
    text = words(page(plan))
    assert "Ready by what is on file: all 18 cells are covered or need no paper." in text
    assert "Nothing is to be started" in text


def test_empty_plan_offers_ways_to_begin() -> None:
    text = page(f.field_plan())
    assert "No stops yet." in text
    assert all(word in text for word in ("Add a stop", "Paste stops", "Load GPX", "copy it"))
    assert 'class="tbl mx' not in text
    assert text.count("Add a stop") == 1, "said once"
    assert "Check again" not in text


@pytest.mark.parametrize(
    ("query", "shown"),
    [
        ("", ["Upper brook", "Lower brook", "Calm"]),
        ("?only=gaps", ["Upper brook", "Lower brook"]),
        ("?layer=collecting&only=gaps", ["Upper brook", "Lower brook"]),
        ("?layer=land&only=gaps", []),
        ("?verdict=missing", ["Upper brook", "Lower brook"]),
        ("?verdict=straddle", []),
        ("?verdict=nonsense&layer=nonsense&only=nonsense", ["Upper brook", "Lower brook", "Calm"]),
    ],
)
def test_rows_are_narrowed_and_layers_never(plan: FieldPlan, query: str, shown: list[str]) -> None:
    """At the third stop a person decided every layer; a word that means nothing narrows nothing."""
    calm = f.stop(plan, name="Calm", position=2)
    for layer in Layer:
        f.decision(plan, layer, stop=calm)
    text = page(plan, query=query)
    names = re.findall(r'<span class="mx-name">\d+\. (.*?)</span>', text)
    assert names == shown
    if not shown:
        assert "No stop is like this" in text
    else:
        assert text.count('<th scope="col"') >= 10


def test_part_of_the_page_for_the_script(plan: FieldPlan) -> None:
    """With the header of htmx the parts alone, without it the whole page."""
    client, address = client_of(Role.AUDITOR), reverse("plans:plan-matrix", args=[plan.pk])
    part = client.get(address + "?only=gaps&layer=", headers={"hx-request": "true"})
    text = part.content.decode()
    assert part.status_code == 200
    assert "<html" not in text
    assert 'id="plan-answer" hx-swap-oob="true"' in text
    assert part["HX-Replace-Url"] == reverse("plans:plan", args=[plan.pk]) + "?only=gaps"
    whole = client.get(address + "?only=gaps")
    assert (whole.status_code, whole["Location"]) == (302, reverse("plans:plan", args=[plan.pk]) + "?only=gaps")


def test_script_is_told_to_keep_the_policy(plan: FieldPlan) -> None:
    """No inline style and no evaluation: both would break the page's Content-Security-Policy."""
    text = page(plan)
    assert '"includeIndicatorStyles": false' in text
    assert '"allowEval": false' in text
    assert "style=" not in text
    assert not re.search(r"<script(?![^>]*\bsrc=)", text)


@pytest.mark.parametrize(("role", "offered"), [(Role.CURATOR, True), (Role.AUDITOR, False), (Role.VOLUNTEER, False)])
def test_ways_to_change_only_for_those_who_may(plan: FieldPlan, role: str, offered: bool) -> None:
    permit(plan)
    text = page(plan, role)
    for way in ("plans:stop-new", "plans:plan-attach", "plans:plan-edit"):
        assert (reverse(way, args=[plan.pk]) in text) == offered
    assert ("Take off" in text) == offered


def test_closed_plan_is_not_changed(plan: FieldPlan) -> None:
    plan.closed_at, plan.closed_by, plan.closed_why = timezone.now(), r.person(), "No money this year"
    plan.save()
    text = page(plan)
    assert "No money this year" in text
    assert reverse("plans:plan-attach", args=[plan.pk]) not in text


def test_papers_that_speak_without_being_attached(plan: FieldPlan) -> None:
    """A paper linked to the site of a stop is listed with its way, and cannot be taken off here."""
    site = r.site("SE-JAM-1", name="Upper brook reach")
    f.stop(plan, name="At the site", site=site, position=2)
    r.link(r.paper("LND-9", (Layer.LAND,)), site=site)
    text = page(plan)
    assert "LND-9" in text
    assert "linked to site SE-JAM-1" in words(text)
    assert "Take off" not in text


def test_places_of_a_restricted_paper_are_not_drawn(plan: FieldPlan) -> None:
    """Its reference and what it covers show to all; where exactly does not."""
    paper = permit(plan)
    place = paper.versions.get().versionplaces.create(
        position=0, site="Secret brook", longitude_deg=15.3, latitude_deg=61.95, radius_m=900.0
    )
    assert place.pk
    assert 'class="permit"' in page(plan)
    Paper.objects.filter(pk=paper.pk).update(
        restricted_to=EVERY_ROLE & role_bits([Role.REGISTRAR]), restricted_why="rare breeding place"
    )
    text = page(plan)
    assert 'class="permit"' not in text
    assert "COL-1" in text


def test_map_speaks_of_stops(plan: FieldPlan) -> None:
    text = page(plan)
    assert "2 stops" in text
    assert "specimen" not in words(text.split('id="map"')[1].split("</section>")[0])


def test_check_as_csv_and_workbook(plan: FieldPlan) -> None:
    """One line a cell; text that begins like a formula is guarded (OWASP, CSV injection)."""
    permit(plan)
    plan.stops.filter(name="Lower brook").update(name="=1+1")
    client = client_of(Role.AUDITOR)
    answer = client.get(reverse("plans:plan-csv", args=[plan.pk]))
    text = b"".join(answer.streaming_content).decode("utf-8-sig")  # type: ignore[attr-defined]
    lines = list(csv.DictReader(io.StringIO(text)))
    assert len(lines) == 2 * 9
    covered = next(line for line in lines if line["stop"] == "Upper brook" and line["layer"] == "Collecting")
    assert (covered["verdict"], covered["papers"]) == ("Covered", "COL-1")
    assert covered["days from the last day to the end of the papers"] == "3"
    assert {line["stop"] for line in lines} == {"Upper brook", "'=1+1"}
    book = client.get(reverse("plans:plan-xlsx", args=[plan.pk]) + "?layer=collecting&verdict=covered")
    rows = list(load_workbook(io.BytesIO(b"".join(book.streaming_content))).active.values)  # type: ignore[attr-defined, union-attr]
    assert len(rows) == 1 + 2 * 9
    assert rows[1][2] == "Upper brook"


def test_export_wants_its_verb(plan: FieldPlan) -> None:
    assert client_of(Role.VOLUNTEER).get(reverse("plans:plan-csv", args=[plan.pk])).status_code == 403


@pytest.mark.parametrize("name", ["plans:plan", "plans:plan-matrix", "plans:plan-csv", "plans:plan-xlsx"])
def test_pages_are_read_and_not_sent_to(plan: FieldPlan, name: str) -> None:
    assert client_of(Role.CURATOR).post(reverse(name, args=[plan.pk])).status_code == 405


def test_no_such_plan() -> None:
    assert client_of(Role.CURATOR).get(reverse("plans:plan", args=[1])).status_code == 404


def test_queries_do_not_grow_with_stops_and_papers(plan: FieldPlan, django_assert_num_queries: Any) -> None:
    """The number of queries of two stops with two papers is that of twelve with eight."""
    client, address = client_of(Role.CURATOR), reverse("plans:plan", args=[plan.pk])
    _papers(plan, 2)
    client.get(address)
    with CaptureQueriesContext(connection) as few:
        client.get(address)
    assert len(few) <= MOST_QUERIES
    for number in range(10):
        f.target(f.stop(plan, position=number + 2))
    _papers(plan, 6, first=3)
    with django_assert_num_queries(len(few)):
        client.get(address)


MOST_QUERIES = 60
"""Of the whole page, check, advice, checklist and sign-off included."""


def _papers(plan: FieldPlan, count: int, first: int = 1) -> None:
    for number in range(first, first + count):
        paper = r.paper(f"COL-{number}", jurisdiction="SE")
        r.version(paper, "2027-06-01", "2027-06-30")
        PlanPaper.objects.create(plan=plan, paper=paper, linked_by=r.person())


@pytest.mark.parametrize(("state", "drawn"), [("", ["15.5"]), ("revoked", []), ("applied", [])])
def test_map_draws_what_is_in_force_on_the_days(state: str, drawn: list[str]) -> None:
    """The first version was open and superseded in May: its square is no longer permitted. Nor is anything of a paper
    that was revoked, or only applied for."""
    trip, paper = f.field_plan(), r.paper(jurisdiction="SE")
    f.stop(trip, first_on=date(2027, 6, 3), last_on=date(2027, 6, 5))
    f.attach(trip, paper, r.person())
    for start, west in (("2026-01-01", 15.0), ("2027-05-01", 15.5)):
        ring = [[west, 61.0], [west + 0.2, 61.0], [west + 0.2, 61.2], [west, 61.0]]
        polygon = json.dumps({"type": "Polygon", "coordinates": [ring]})
        VersionPlace.objects.create(version=r.version(paper, start, None), geojson=polygon)
    if state:
        PaperStatus.objects.create(paper=paper, state=state, from_on=date(2027, 5, 2))
    check = check_plan(trip, today=TODAY)
    shown = plan_map(check, [one.paper for one in speaking_papers(check)], r.person())
    assert [f"{area.shape.bounds[0]}" for area in shown.areas if area.kind == AreaKind.PERMITTED] == drawn
