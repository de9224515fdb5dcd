"""Planned rows judged by the engine of specimens, with everything that counts under the same papers beside them."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from accessions.intake.specimens import SpecimenTable
from governance.engine import Assessment, Layer, Material, Requirements, assess
from governance.engine.explain import PLANNED, Explainer
from governance.engine.joining import joined
from governance.engine.tables import Finding, LongColumn, Paper, Specimens, Verdict
from governance.engine.taxa import Classification
from governance.papers.queries import Links
from governance.plans.planned_rows import PlannedRow, columns_of
from governance.verdicts.check import outlines
from governance.verdicts.feed import Feed, feed
from governance.verdicts.linked import Reach
from governance.verdicts.material import material_of


@dataclass(frozen=True)
class PaperUsed:
    """A paper behind an answer. versions: the start days of those tested, None for an unknown start."""

    pk: int
    reference: str
    versions: tuple[int | None, ...] = ()


@dataclass(frozen=True)
class Answer:
    """What the engine says of one planned row on one layer. findings: with their sentences, none for a plain yes."""

    row: PlannedRow
    layer: Layer
    verdict: Verdict
    papers: tuple[PaperUsed, ...]
    findings: tuple[tuple[Finding, str], ...]

    @property
    def codes(self) -> tuple[str, ...]:
        return tuple(finding.code for finding, _ in self.findings)


Speaking = Mapping[int, frozenset[str]]
"""By key of a paper the stops for which it is attached, as ``plan_key`` writes them; none: by its other links alone."""


class Bench:
    """What rows of plans are judged by: papers, rules, house rules, and the specimens that count under capped papers.

    Made once for a check; every batch of rows of that check, trials too, is judged on it.

    Args:
        papers: papers that may speak, with the stops for which they are attached.
        linked: what each of them is linked to in the register.
        decided: layers of which a person decided that no paper is required, by stop key.
        others: all rows that may count under the same papers: those of the plan itself, and of other open plans.
    """

    def __init__(
        self,
        papers: Speaking,
        linked: Mapping[int, Links],
        decided: frozenset[tuple[Layer, str]] = frozenset(),
        others: Sequence[PlannedRow] = (),
    ) -> None:
        self._speaking = papers
        self._links = {pk: linked.get(pk, Links()) for pk in papers}
        self._decided = decided
        self._others = list(others)

    @cached_property
    def _feed(self) -> Feed:
        """The papers, and the specimens that count under those with a cap."""
        empty = np.zeros(0, np.int64)
        fed = feed(empty, self._links)
        capped = [pk for pk, paper in zip(fed.papers.ids, fed.papers.papers, strict=True) if _has_cap(paper)]
        if not capped:
            return fed
        counted = self._counted(capped)
        return feed(counted, self._links) if counted is None or len(counted) else fed

    def _counted(self, capped: Sequence[int]) -> LongColumn | None:
        """The specimens for which capped papers speak; None for all."""
        return Reach({pk: self._links[pk] for pk in capped if self._links[pk]}).specimens(list(capped))

    @cached_property
    def papers(self) -> tuple[Paper, ...]:
        """The papers as the engine takes them, with the stops that each is attached to."""
        fed = self._feed.papers
        return tuple(
            dataclasses.replace(
                paper, covers=dataclasses.replace(
                    paper.covers, accessions=paper.covers.accessions | self._speaking.get(pk, frozenset())
                ),
            )
            for pk, paper in zip(fed.ids, fed.papers, strict=True)
        )  # fmt: skip

    @property
    def paper_ids(self) -> tuple[int, ...]:
        return self._feed.papers.ids

    @property
    def requirements(self) -> Requirements:
        known = self._feed.requirements
        return dataclasses.replace(known, decided=known.decided | self._decided)

    def judge(self, rows: Sequence[PlannedRow], layers: Sequence[Layer] = tuple(Layer)) -> list[list[Answer]]:
        """The answers for rows, one list a row in the order of the layers. No rows: none."""
        if not rows:
            return []
        material = self._material(rows)
        requirements = dataclasses.replace(self.requirements, layers=tuple(layers))
        assessment = assess(
            material, self.papers, requirements, outlines(), self._feed.house.rules,
            classification=Classification(material.taxa),
        )  # fmt: skip
        explainer = Explainer(material, assessment, self._feed.house.rules, tense=PLANNED)
        first = len(material.specimens) - len(rows)
        return [
            [self._answer(row, explainer, assessment, column, first + number) for column in range(len(layers))]
            for number, row in enumerate(rows)
        ]

    def _material(self, rows: Sequence[PlannedRow]) -> Material:
        """The specimens that count, then other rows that do, then the rows.

        A row of a trial carries no number (``counts`` false), so that the row it was made from still counts, once.
        """
        judged = set(rows)
        beside = [row for row in self._others if row.counts and row not in judged]
        planned = _planned_material([*beside, *rows])
        return joined(self._feed.material, planned)

    def _answer(
        self, row: PlannedRow, explainer: Explainer, assessment: Assessment, column: int, specimen: int
    ) -> Answer:
        outcomes, outcome = assessment.outcomes[column], int(assessment.outcome[specimen, column])
        used = tuple(
            PaperUsed(
                self.paper_ids[edition.paper], self.papers[edition.paper].reference,
                tuple(self._feed.papers.versions_of(edition)),
            )
            for edition in outcomes.editions_of(outcome)
        )  # fmt: skip
        findings = tuple((finding, text) for finding, text in explainer.one(column, outcome) if finding.code)
        return Answer(row, assessment.layers[column], Verdict(int(outcomes.verdict[outcome])), used, findings)


def _has_cap(paper: Paper) -> bool:
    return any(version.caps for version in paper.versions)


def _planned_material(rows: Sequence[PlannedRow]) -> Material:
    """Rows of plans, read as a file of specimens is. A row that carries no number counts nothing, nor is it assumed."""
    columns = columns_of(rows)
    material = material_of(SpecimenTable("plan", len(rows), columns, range(1, len(rows) + 1)))
    counts = np.array([row.counts for row in rows], bool)
    specimens: Specimens = dataclasses.replace(
        material.specimens,
        count_low=np.where(counts, material.specimens.count_low, 0),
        count_high=np.where(counts, material.specimens.count_high, 0),
        count_assumed=material.specimens.count_assumed & counts,
    )
    return dataclasses.replace(material, specimens=specimens)
