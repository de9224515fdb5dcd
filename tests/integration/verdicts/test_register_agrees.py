"""A check of files and the register give the same verdicts, papers, versions, findings and sentences."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest

from governance.engine import Finding, HouseRules, Layer, Rule
from governance.engine.explain import fill
from governance.papers.models import VersionTaxon, VersionWord
from governance.verdicts.actions import assess
from governance.verdicts.check import Check, check_files
from governance.verdicts.models import Outcome, OutcomeFinding, Result, RulingLayer
from governance.verdicts.sentences import filled, words_of
from governance.verdicts.writing import day_text
from tests.factories import from_files, register

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"
SPECIMENS, PAPERS = FIXTURES / "lindmark_specimens.csv", FIXTURES / "lindmark_papers.json"

Answer = tuple[int, tuple[str, ...], tuple[tuple[str | None, ...], ...], tuple[tuple[Finding, str], ...]]
"""Verdict, references, starts of versions, findings with sentences."""


def answers_of_check(check: Check) -> list[list[Answer]]:
    """By specimen and layer."""
    made: list[list[Answer]] = []
    for column, outcomes in enumerate(check.assessment.outcomes):
        made.append([])
        for number, explained in enumerate(check.explainer.every(column)):
            editions = outcomes.editions_of(number)
            made[-1].append((
                int(outcomes.verdict[number]),
                tuple(check.papers[edition.paper].reference for edition in editions),
                tuple(tuple(day_text(v.from_day) or None for v in edition.versions) for edition in editions),
                tuple(explained),
            ))  # fmt: skip
    return [[made[column][n] for column, n in enumerate(row)] for row in check.assessment.outcome.tolist()]


def answer_of_outcome(outcome: Outcome, words: dict[str, str]) -> Answer:
    papers, findings = list(outcome.papers.all()), list(outcome.findings.all())
    return (
        outcome.verdict,
        tuple(paper.reference for paper in papers),
        tuple(tuple(paper.versions) for paper in papers),
        tuple((Finding(f.code, f.measure, f.against, f.unit), fill(f.sentence, words)) for f in findings),
    )


def answers_of_register() -> list[list[Answer]]:
    """By specimen, in the order of their keys, and layer."""
    layers: dict[int, list[Outcome]] = {}
    for row in RulingLayer.objects.prefetch_related("outcome__papers", "outcome__findings").order_by("layer"):
        layers.setdefault(row.ruling_id, []).append(row.outcome)
    results = Result.objects.select_related("event", "name").order_by("specimen")
    return [
        [answer_of_outcome(outcome, words_of(result.event, result.name)) for outcome in layers[result.ruling_id]]
        for result in results
    ]


def judged_file(**options: Any) -> Check:
    rules = tuple(Rule(layer, True, "invented") for layer in Layer)
    return check_files(SPECIMENS, PAPERS, house=HouseRules(), require=list(Layer), rules=rules, **options)


@pytest.mark.django_db
def test_the_lindmark_files_are_judged_alike() -> None:
    from_files.load_files(SPECIMENS, PAPERS)
    from_files.require_everything()
    assess(by=register.person(), why="test")
    expected = answers_of_check(judged_file())
    assert len(expected) > 400
    assert answers_of_register() == expected


RULINGS = Path(__file__).resolve().parents[2] / "data" / "lindmark_rulings.csv"


def digests_by_number() -> list[list[str]]:
    rows = Result.objects.order_by("specimen").values_list("specimen__catalog_number", "ruling__digest")
    return [list(row) for row in rows]


@pytest.mark.django_db
def test_every_database_keeps_the_same_rulings() -> None:
    """The file holds the digest of every ruling, so that two databases that agree with it agree with one another.

    After a change of a sentence or of the fixtures it is made anew from ``digests_by_number``, and its difference read.
    """
    from_files.load_files(SPECIMENS, PAPERS)
    from_files.require_everything()
    assess(by=register.person(), why="test")
    with RULINGS.open(encoding="utf-8", newline="") as file:
        expected = list(csv.reader(file))
    assert digests_by_number() == expected


@pytest.mark.django_db
def test_braces_that_people_wrote_stay_as_they_are() -> None:
    """Stored sentences keep the words of the specimen in braces; nothing that was written may be taken for one."""
    event = register.event(sampling_protocol="net {A} | {name}", recorded_by="{0}")
    specimen = register.specimen(event=event, name=register.written_name("Calopteryx {x}"))
    paper = register.paper("COL {paper}")
    version = register.version(paper)
    VersionWord.objects.create(version=version, subject="methods", word="trap")
    VersionTaxon.objects.create(version=version, name="Gomphidae")
    register.link(paper, specimen=specimen)
    register.rule(register.sheet("GE"))
    assess(by=None, why="test")
    finding = OutcomeFinding.objects.get(code="method")
    assert filled(finding, event, specimen.name) == ("None of the methods (net {A}, {name}) is allowed by COL {paper}.")
