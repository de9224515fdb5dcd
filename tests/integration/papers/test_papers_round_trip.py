"""Papers into the register and out again: nothing is lost, and the engine is given the same as from the file."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import Accession, SamplingEvent, Specimen
from accessions.sites.models import Site
from governance.engine.tables import Paper as EnginePaper
from governance.papers import actions, queries
from governance.papers.exchange import papers_from_bytes, papers_from_value
from governance.papers.models import Paper
from tests.factories import register as r
from tests.factories.paper_objects import full_object, paper_object, paper_objects

pytestmark = pytest.mark.django_db
LINDMARK = Path(__file__).parents[3] / "fixtures" / "lindmark_papers.json"


def test_every_key_of_a_paper_comes_back_as_it_was_written() -> None:
    paper = actions.register(data=full_object(), by=r.person("registrar"), why="from the scan")

    assert queries.exchange_object(paper, with_links=False) == full_object()


def test_the_contract_form_holds_only_the_keys_of_the_contract() -> None:
    """VERDICTS, section 8: a key not listed is an error, so an older reader must be given none."""
    paper = actions.register(data=full_object(), by=r.person("registrar"), why="from the scan")
    applied = paper_object("COL-1", statuses=[{"state": "applied", "from": "2024-03-01"}])
    actions.register(data=applied, by=r.person("registrar"), why="from the scan")

    (told,) = json.loads(queries.exchange_file(Paper.objects.all(), contract_only=True))["papers"]

    assert set(told) <= {"reference", "kind", "layers", "issuer", "jurisdiction", "holder", "issued_on", "versions",
                         "suspensions", "revoked_on", "covers"}  # fmt: skip
    assert set(told["versions"][0]) == {"in_force_from", "in_force_to", "places", "taxa", "methods", "people",
                                        "closed_seasons", "sexes", "life_stages", "caps"}  # fmt: skip
    assert set(told["covers"]) == {"accessions", "sites", "events", "specimens"}
    assert told["reference"] == paper.reference, "what was only applied for would be read as given by an older reader"


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow], max_examples=60)
@given(value=paper_objects())
def test_any_paper_is_read_the_same_from_the_register_as_from_the_file(value: dict[str, Any]) -> None:
    by = r.person("registrar")
    with transaction.atomic():
        paper = actions.register(data=value, by=by, why="generated")
        told = queries.exchange_object(Paper.objects.get(pk=paper.pk), with_links=False)
        (from_register,) = queries.engine_papers([paper.pk])
        transaction.set_rollback(True)

    (written,), (read) = papers_from_value({"papers": [value]}, "file").papers, from_register
    assert _in_order(read) == _in_order(written)
    assert [_more(v) for v in _by_start(told)] == [_more(v) for v in _by_start(value)]
    for key in ("second_number", "remarks", "issuer", "issued_on"):
        assert told.get(key) == value.get(key)


def _in_order(paper: EnginePaper) -> EnginePaper:
    """The order of versions and suspensions does not matter (engine tables)."""
    versions = tuple(sorted(paper.versions, key=lambda v: v.from_day or 0))
    return replace(paper, versions=versions, suspensions=tuple(sorted(paper.suspensions, key=str)))


def _by_start(value: dict[str, Any]) -> list[dict[str, Any]]:
    return sorted(value["versions"], key=lambda version: version["in_force_from"] or "")


def _more(version: dict[str, Any]) -> tuple[Any, Any]:
    return version.get("note"), version.get("conditions") or []


@pytest.fixture
def lindmark() -> list[dict[str, Any]]:
    """The papers of the invented museum, with what they are linked to in the register."""
    papers = json.loads(LINDMARK.read_bytes())["papers"]
    links = {kind: sorted({name for p in papers for name in p["covers"][kind]} - {"*"})
             for kind in ("accessions", "sites", "events", "specimens")}  # fmt: skip
    for number in links["accessions"]:
        r.accession(number)
    for code in links["sites"]:
        r.site(code)
    for number in links["events"]:
        r.event(number)
    for number in links["specimens"]:
        r.specimen(number)
    return list(papers)


def test_the_papers_of_the_museum_go_round(lindmark: list[dict[str, Any]]) -> None:
    by = r.person("registrar")
    outcome = actions.import_papers(LINDMARK.read_bytes(), "papers.json", by=by, why="first list")
    assert outcome.is_saved
    assert len(outcome.added) == len(lindmark) == Paper.objects.count()

    back = queries.exchange_file(Paper.objects.order_by("pk"))

    written, read = (papers_from_bytes(data, "f").papers for data in (LINDMARK.read_bytes(), back))
    assert [_in_order(p) for p in read] == [_in_order(p) for p in written]
    assert [_in_order(p) for p in queries.engine_papers()] == [_in_order(p) for p in written]


def test_a_file_written_out_changes_nothing_when_it_is_taken_again(lindmark: list[dict[str, Any]]) -> None:
    by = r.person("registrar")
    actions.import_papers(LINDMARK.read_bytes(), "papers.json", by=by, why="first list")
    actions.register(data=full_object(), by=by, why="from the scan")

    plan = actions.preview_import(queries.exchange_file(Paper.objects.all()), "back.json", by=by)

    assert [(paper.reference, paper.differences) for paper in plan.changed] == []
    assert plan.new == []
    assert plan.unknown == ()


def test_links_are_told_in_keys_and_in_names() -> None:
    by = r.person("registrar")
    paper = r.paper()
    accession, site, event = r.accession("ACC-1"), r.site("GE-NAZ-1"), r.event("EV-1")
    part, specimen = r.part(accession, "A"), r.specimen("S-1", accession=accession, event=event)
    targets = actions.Targets(parts=[part.pk], sites=[site.pk], events=[event.pk], specimens=[specimen.pk])
    actions.link(paper=paper, targets=targets, by=by, why="as the paper says")

    links = queries.links_of([paper])[paper.pk]
    assert links == queries.Links(parts={part.pk}, sites={site.pk}, events={event.pk}, specimens={specimen.pk})
    assert queries.exchange_object(paper)["covers"] == {
        "accessions": [], "parts": ["ACC-1/A"], "sites": ["GE-NAZ-1"], "events": ["EV-1"], "specimens": ["S-1"],
    }  # fmt: skip


def test_a_paper_that_was_not_given_is_held_against_nothing() -> None:
    """An application with days and places in it must never cover anything."""
    by = r.person("registrar")
    paper = actions.register(
        data=paper_object(statuses=[{"state": "applied", "from": "2024-03-01"}]), by=by, why="applied"
    )
    assert queries.engine_papers() == []

    actions.add_status(paper=paper, data={"state": "granted", "from": "2024-04-01"}, by=by, why="letter")
    (given_,) = queries.engine_papers()
    assert given_.reference == "COL-2024-052"

    actions.add_status(paper=paper, data={"state": "refused", "from": "2024-04-02"}, by=by, why="letter")
    assert queries.engine_papers() == []


def test_three_hundred_papers_cost_the_same_queries_as_one(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    papers = [paper_object(f"P-{n:03}", versions=full_object()["versions"]) for n in range(300)]
    by = r.person("registrar")
    r.site("GE-NAZ-1")
    actions.import_papers(json.dumps({"papers": papers}).encode(), "many.json", by=by, why="many")

    with django_assert_num_queries(16):  # papers; statuses; versions and seven kinds of lines; six kinds of links
        assert len(queries.engine_papers()) == 300
    first = Paper.objects.earliest("pk").pk
    with django_assert_num_queries(16):
        assert len(queries.engine_papers([first])) == 1


def test_the_register_keeps_the_order_of_the_file() -> None:
    """VERDICTS 7.5: the order in the file decides where papers do equally well."""
    data = json.dumps({"papers": [paper_object("Z-1"), paper_object("A-1"), paper_object("M-1")]}).encode()
    actions.import_papers(data, "f.json", by=r.person("registrar"), why="order")
    assert [paper.reference for paper in queries.engine_papers()] == ["Z-1", "A-1", "M-1"]


def test_nothing_of_the_facts_is_touched_by_papers(lindmark: list[dict[str, Any]]) -> None:
    counts = [model.objects.count() for model in (Accession, Specimen, SamplingEvent, Site)]
    actions.import_papers(LINDMARK.read_bytes(), "papers.json", by=r.person("registrar"), why="first list")
    assert [model.objects.count() for model in (Accession, Specimen, SamplingEvent, Site)] == counts
    assert Paper.objects.get(reference="COL-2022-012").statuses.get().from_on == date(2022, 11, 15)
