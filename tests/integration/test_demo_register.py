"""The demo register says of its hand-written specimens what their authors, who judged nothing by machine, wrote down.

The same files, checked without a register, are held against the same words by ``test_check_files_laws.py``.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
import yaml
from django.db import transaction
from pytest_django import DjangoDbBlocker

from accessions.material.models import Accession, Specimen, Touch
from accessions.people.access import VERBS_OF_ROLE
from accessions.people.models import Agent, User
from governance.config.demo.build import FIXTURES, build
from governance.config.demo.mark import Database, look
from governance.engine import Layer, Verdict
from governance.engine.pairs import Events, linked
from governance.papers.models import Paper, TitleRecord
from governance.usedesk.queries.bearing import SpecimenRow, bearing
from governance.verdicts.feed import feed
from governance.verdicts.models import Override, RulingLayer
from governance.verdicts.standing_summary import standing_counts

pytestmark = pytest.mark.django_db

SEARCHED = {("LMN-2026-071", "export"): "known-not-located"}
"""The register knows of a search there (lindmark_register.yaml), the files do not."""

Spoken = dict[tuple[str, str], tuple[str, set[str], set[str]]]


@pytest.fixture(scope="module")
def demo(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """The hand-written part of the demo, taken back at the end."""
    around = transaction.atomic()
    # As Django's own TestCase marks it: scans are received in a transaction of their own.
    around._from_testcase = True  # type: ignore[attr-defined]
    with django_db_blocker.unblock(), around:
        build(step=lambda words, share: None, whole=False)
        yield
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def spoken(demo: None) -> Spoken:
    """By catalogue number and layer: verdict, codes of the findings, papers."""
    found: Spoken = {}
    ruling_of = dict(Specimen.objects.values_list("catalog_number", "standing__ruling"))
    layers: dict[int, list[RulingLayer]] = {}
    rows = RulingLayer.objects.select_related("outcome").prefetch_related("outcome__findings", "outcome__papers")
    for row in rows:
        layers.setdefault(row.ruling_id, []).append(row)
    for number, ruling in ruling_of.items():
        for row in layers[ruling]:
            codes = {finding.code for finding in row.outcome.findings.all()} or {""}
            papers = {paper.reference for paper in row.outcome.papers.all()}
            found[number, Layer(row.layer).code] = (Verdict(row.outcome.verdict).code, codes, papers)
    return found


def expected_rows() -> list[dict[str, str]]:
    with (FIXTURES / "lindmark_expected.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def told(row: dict[str, str]) -> str:
    accession = Specimen.objects.get(catalog_number=row["catalogNumber"]).accession.number
    if row["finding"] == "not-searched":
        return SEARCHED.get((accession, row["layer"]), row["finding"])
    return row["finding"]


def test_the_same_papers_bear_for_the_desk_as_for_the_verdicts(demo: None) -> None:
    """All hand-written specimens: what the engine of verdicts holds against each other, the desk asks about."""
    fed = feed()
    rows = fed.material.specimens
    events = Events(
        rows.date, rows.date, rows.place, rows.methods, rows.people, rows.event, rows.accession, rows.catalog
    )
    links = linked(fed.papers.papers, events, fed.material)
    pairs = {
        (fed.papers.ids[paper], int(fed.specimens.ids[row])) for paper, row in zip(*np.nonzero(links), strict=True)
    }
    specimens = list(Specimen.objects.all())
    asked = [SpecimenRow(s.pk, s.accession_id, s.part_id or -1, s.event_id, s.name_id, -1) for s in specimens]
    accession_of = {s.pk: s.accession_id for s in specimens}
    of_title = {(t.paper_id, t.accession_id) for t in TitleRecord.objects.filter(paper__isnull=False)}

    found = {
        (paper, s.pk)
        for s, papers in zip(specimens, bearing(asked).papers, strict=True)
        for paper in papers
        if paper in fed.papers.ids and (paper, s.accession_id) not in of_title
    }

    assert len(pairs) > 1000
    assert found == {(paper, pk) for paper, pk in pairs if (paper, accession_of[pk]) not in of_title}


def test_every_story_is_told(spoken: Spoken) -> None:
    rows = expected_rows()
    assert len(rows) > 100
    wrong = []
    for row in rows:
        verdict, codes, papers = spoken[row["catalogNumber"], row["layer"]]
        named = set(filter(None, row["paper"].split(" | ")))
        if verdict != row["verdict"] or told(row) not in codes or (named and not named <= papers):
            wrong.append((row, verdict, codes, papers))
    assert wrong == []


def test_every_specimen_has_a_verdict_and_no_mark_is_left(demo: None) -> None:
    with (FIXTURES / "lindmark_specimens.csv").open(encoding="utf-8", newline="") as file:
        count = len(list(csv.DictReader(file)))
    assert {sum(counts) for _, *counts in standing_counts()[1:]} == {count}
    assert Specimen.objects.filter(standing=None).count() == 0
    assert Touch.objects.count() == 0


def test_people_of_every_role_can_sign_in(demo: None) -> None:
    source: dict[str, Any] = yaml.safe_load((FIXTURES / "lindmark_register.yaml").read_text("utf-8"))
    people = User.objects.filter(username__in=source["accounts"])
    assert {user.role for user in people} == {str(role) for role in VERBS_OF_ROLE}
    assert all(user.check_password(source["password"]) for user in people)


def test_decisions_stand_beside_computed_verdicts(spoken: Spoken) -> None:
    decided = {o.specimen.catalog_number: o for o in Override.objects.select_related("specimen")}
    override = decided["LMN-FW-0198366"]
    assert override.decided == Verdict.COVERED
    assert Verdict(override.computed).code == spoken["LMN-FW-0198366", "land"][0] == "cannot-tell"
    assert Specimen.objects.get(catalog_number="LMN-FW-0198366").standing.is_overruled


def test_material_lies_in_parts_by_its_site(demo: None) -> None:
    accession = Accession.objects.get(number="LMN-2024-038")
    sites = accession.specimens.values_list("part__letter", "event__site__code").distinct().order_by()
    assert {letter for letter, _ in sites} == {"A", "B", "C", "D"}
    assert {letter for letter, code in sites if code == "GE-NAZ-4"} == {"D"}


def test_papers_have_what_a_life_brings(demo: None) -> None:
    assert Paper.objects.filter(versions=None).exists(), "an unread one"
    assert Paper.objects.get(reference="COL-2024-052").statuses.filter(state="suspended").exists()
    assert Paper.objects.get(reference="LND-2021-005").statuses.filter(state="revoked").exists(), "a withdrawn one"
    assert Paper.objects.get(reference="LND-2024-117").versions.count() == 2, "an amended one"


def test_collectors_have_several_forms_of_their_name(demo: None) -> None:
    assert Agent.objects.get(name="J. Ek").names.count() >= 3


def test_it_is_marked_as_a_demo(demo: None) -> None:
    assert look() is Database.DEMO
