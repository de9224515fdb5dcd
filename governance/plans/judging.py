"""Planned rows judged by the engine of specimens, with everything that counts under the same papers beside them."""

from __future__ import annotations

import dataclasses
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from governance.engine import Assessment, Layer, Material, Requirements, assess
from governance.engine.assess import ENGINE_VERSION
from governance.engine.cap_totals import CapTotal, cap_totals
from governance.engine.explain import PLANNED, Explainer
from governance.engine.joining import joined
from governance.engine.tables import Finding, HouseRules, Paper, Verdict, fold
from governance.papers.queries import Links
from governance.plans.planned_material import (
    classification_of,
    counted_specimens,
    empty_specimens,
    has_cap,
    planned_material,
)
from governance.plans.planned_rows import PlannedRow, number_rows
from governance.verdicts.check import outlines
from governance.verdicts.feed import Feed, feed
from governance.verdicts.feed.papers import FedPapers, fed_papers
from governance.verdicts.feed.rules import digest


@dataclass(frozen=True)
class PaperUsed:
    """A paper behind an answer. versions: the start days of those tested, None for an unknown start."""

    pk: int
    reference: str
    versions: tuple[int | None, ...] = ()


@dataclass(frozen=True)
class Answer:
    """What the engine says of one planned row on one layer; its papers and sentences are made when asked for."""

    row: PlannedRow
    layer: Layer
    verdict: Verdict
    outcome: tuple[int, int] = field(repr=False, compare=False)
    explained: Explained = field(repr=False, compare=False)

    @property
    def papers(self) -> tuple[PaperUsed, ...]:
        """The papers behind it, in the order in which they were registered."""
        return self.explained.papers(self.outcome)

    @property
    def findings(self) -> tuple[tuple[Finding, str], ...]:
        """The reasons with their sentences; none for a plain yes."""
        return self.explained.findings(self.outcome)

    @property
    def codes(self) -> tuple[str, ...]:
        return tuple(finding.code for finding, _ in self.findings)


Speaking = Mapping[int, frozenset[str]]
"""By key of a paper the stops for which it is linked, as ``plan_key`` writes them; none: by its other links alone."""


@dataclass(frozen=True)
class PapersOfPlan:
    """Papers that may speak for a plan, read once.

    speaking: the papers, with the stops for which they are linked. links: what each is linked to in the register.
    """

    speaking: Speaking
    links: Mapping[int, Links]
    fed: FedPapers

    @classmethod
    def read(cls, speaking: Speaking, linked: Mapping[int, Links]) -> PapersOfPlan:
        links = {pk: linked.get(pk, Links()) for pk in speaking}
        return cls(speaking, links, fed_papers(links))

    def also_for(self, more: Speaking) -> PapersOfPlan:
        """The same papers, linked to other stops too; papers that are not among these are left out."""
        speaking = {pk: stops | more.get(pk, frozenset()) for pk, stops in self.speaking.items()}
        return dataclasses.replace(self, speaking=speaking)

    @cached_property
    def capped(self) -> dict[int, Links]:
        """Those that limit numbers."""
        fed = zip(self.fed.ids, self.fed.papers, strict=True)
        return {pk: self.links[pk] for pk, paper in fed if has_cap(paper)}

    def attached(self, fed: FedPapers) -> tuple[Paper, ...]:
        """The papers as the engine takes them, with the stops that each is linked to."""
        return tuple(
            dataclasses.replace(
                paper, covers=dataclasses.replace(
                    paper.covers, accessions=paper.covers.accessions | self.speaking[pk]
                ),
            )
            for pk, paper in zip(fed.ids, fed.papers, strict=True)
        )  # fmt: skip


@dataclass(frozen=True)
class Judged:
    """An assessment of planned rows. first: the specimen of the first of them, the others follow."""

    material: Material
    assessment: Assessment
    fed: FedPapers
    first: int


class Bench:
    """What rows of plans are judged by: papers, rules, house rules, and the specimens that count under capped papers.

    Made once for a check; every batch of rows of that check, trials too, is judged on it.

    Args:
        papers: papers that may speak.
        decided: layers of which a person decided that no paper is required, by stop key.
        others: all rows that may count under the same papers: those of the plan itself, and of other open plans.
        became: key of the accession that the plan became: its specimens are what the plan expected, and count once.
    """

    def __init__(
        self,
        papers: PapersOfPlan,
        decided: frozenset[tuple[Layer, str]] = frozenset(),
        others: Sequence[PlannedRow] = (),
        became: int | None = None,
    ) -> None:
        self._papers = papers
        self._decided = decided
        self._others = list(others)
        self._became = became

    @cached_property
    def _feed(self) -> Feed:
        """The papers, and the specimens that count under those with a cap."""
        papers = self._papers
        counted = counted_specimens(papers.capped, but=self._became) if papers.capped else empty_specimens()
        return feed(counted, papers.links, papers.fed)

    @cached_property
    def papers(self) -> tuple[Paper, ...]:
        """The papers as the engine takes them, with the stops that each is linked to."""
        return self._papers.attached(self._papers.fed)

    @property
    def paper_ids(self) -> tuple[int, ...]:
        return self._papers.fed.ids

    @property
    def capped(self) -> Collection[int]:
        """Keys of the papers that limit numbers."""
        return self._papers.capped

    @property
    def house(self) -> HouseRules:
        return self._feed.house.rules

    @property
    def requirements(self) -> Requirements:
        known = self._feed.requirements
        return dataclasses.replace(known, decided=known.decided | self._decided)

    def record(self) -> dict[str, Any]:
        """What is judged by, as an assessment of specimens keeps it. rules: of the country sheets and the house."""
        fed = self._feed
        rules = dataclasses.replace(fed.requirements, decided=frozenset())
        return {
            "engine": ENGINE_VERSION, "papers": fed.papers.used(), "rules": digest(rules, fed.house),
            "house": fed.house.record(),
        }  # fmt: skip

    def judge(self, rows: Sequence[PlannedRow], layers: Sequence[Layer] = tuple(Layer)) -> list[list[Answer]]:
        """The answers for rows, one list a row in the order of the layers. No rows: none.

        Rows that are not those of the plan are a trial. What the plan expects of their group at their stop is counted
        as before, but where and of what name the trial says.
        """
        if not rows:
            return []
        answers = _answers(rows, self.assessed(rows, layers), self._feed)
        named = [number for number, row in enumerate(rows) if row.is_site and _is_open(answers[number])]
        by_name = self._by_name([rows[number] for number in named])
        if by_name is not None:
            again = [rows[number] for number in named]
            found = _answers(again, self.assessed(again, layers, by_name), self._feed)
            for number, others in zip(named, found, strict=True):
                answers[number] = [_better(one, other) for one, other in zip(answers[number], others, strict=True)]
        return answers

    def _by_name(self, rows: Sequence[PlannedRow]) -> FedPapers | None:
        """The papers with the sites of these rows named, not mapped; None where that changes none of them.

        A stop that is the site lies in it by name; its outline lies on that of the paper, edge on edge, and could only
        be called doubtful. Both are true of the stop, so what one of them covers is covered.
        """
        sites = frozenset(key for row in rows for key in _site_keys(row))
        fed = self._papers.fed.by_name(sites) if sites else self._papers.fed
        return fed if fed.papers != self._papers.fed.papers else None

    def assessed(
        self, rows: Sequence[PlannedRow], layers: Sequence[Layer] = tuple(Layer), fed: FedPapers | None = None
    ) -> Judged:
        """The rows as the engine judges them, behind all that counts beside them. fed: None for the papers as fed."""
        fed = fed or self._papers.fed
        material, first = self.material(rows)
        requirements = dataclasses.replace(self.requirements, layers=tuple(layers))
        assessment = assess(
            material, self._papers.attached(fed), requirements, outlines(), self.house,
            classification=classification_of(self._feed.material.taxa, material.taxa),
        )  # fmt: skip
        return Judged(material, assessment, fed, first)

    def material(self, rows: Sequence[PlannedRow]) -> tuple[Material, int]:
        """The specimens that count, what is expected, then the rows, which carry no number; and where these begin."""
        expected = number_rows(rows, self._others) if self.capped else []
        planned = planned_material(expected, rows, self._feed.house.percent)
        return joined(self._feed.material, planned), len(self._feed.specimens) + len(expected)

    def cap_totals(self, plan: int) -> tuple[list[CapTotal], dict[int, PlannedRow]]:
        """How far limits are used up, by specimens, by other plans and by a plan; and its rows by their specimen."""
        if not self.capped:
            return [], {}
        expected = number_rows([], self._others)
        planned = planned_material(expected, [], self._feed.house.percent)
        material, first = joined(self._feed.material, planned), len(self._feed.specimens)
        source = np.array([*[0] * first, *(2 if row.plan == plan else 1 for row in expected)], np.int64)
        classification = classification_of(self._feed.material.taxa, material.taxa)
        totals = cap_totals(material, self.papers, source, outlines(), self.house, classification)
        return totals, {first + number: row for number, row in enumerate(expected)}


def _site_keys(row: PlannedRow) -> list[str]:
    """Code and name of the site of a row, as the engine matches them."""
    place = dict(row.place)
    return [fold(place[term]) for term in ("locationID", "siteName") if place.get(term)]


def _is_open(answers: Sequence[Answer]) -> bool:
    return any(answer.verdict != Verdict.COVERED for answer in answers)


def _better(one: Answer, other: Answer) -> Answer:
    """The other where it alone covers."""
    return other if other.verdict == Verdict.COVERED != one.verdict else one


def _answers(rows: Sequence[PlannedRow], judged: Judged, fed: Feed) -> list[list[Answer]]:
    """The answers of each row."""
    explained, assessment = Explained(judged, fed.house.rules), judged.assessment
    layers = list(enumerate(assessment.layers))
    verdicts = assessment.verdict[judged.first :].tolist()
    outcomes = assessment.outcome[judged.first :].tolist()
    return [
        [Answer(row, layer, _VERDICTS[verdict[n]], (n, outcome[n]), explained) for n, layer in layers]
        for row, verdict, outcome in zip(rows, verdicts, outcomes, strict=True)
    ]


_VERDICTS = tuple(Verdict)


class Explained:
    """The outcomes of an assessment with their papers and sentences: each is made once, when first asked for.

    An outcome is told by the column of its layer and its number there.
    """

    def __init__(self, judged: Judged, house: HouseRules) -> None:
        self._judged = judged
        self._house = house
        self._papers: dict[tuple[int, int], tuple[PaperUsed, ...]] = {}
        self._findings: dict[tuple[int, int], tuple[tuple[Finding, str], ...]] = {}

    @cached_property
    def _explainer(self) -> Explainer:
        return Explainer(self._judged.material, self._judged.assessment, self._house, tense=PLANNED)

    def papers(self, outcome: tuple[int, int]) -> tuple[PaperUsed, ...]:
        if outcome not in self._papers:
            column, number = outcome
            fed = self._judged.fed
            self._papers[outcome] = tuple(
                PaperUsed(fed.ids[edition.paper], fed.papers[edition.paper].reference, tuple(fed.versions_of(edition)))
                for edition in self._judged.assessment.outcomes[column].editions_of(number)
            )
        return self._papers[outcome]

    def findings(self, outcome: tuple[int, int]) -> tuple[tuple[Finding, str], ...]:
        if outcome not in self._findings:
            found = self._explainer.one(*outcome)
            self._findings[outcome] = tuple((finding, text) for finding, text in found if finding.code)
        return self._findings[outcome]
