"""Trials: rows of the plan with one thing otherwise, and what the engine answers for them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from governance.engine.dates import Validity
from governance.engine.tables import REMARKS, Layer, Paper, Verdict, Version, fold
from governance.plans.advice.saying import Draft
from governance.plans.judging import Answer
from governance.plans.planned_rows import PlannedRow, plan_key
from governance.plans.queries.check import CheckedCell, PlanCheck

Say = Callable[[Sequence[Answer]], Draft | None]
"""From the answers for the rows of a proposal to what is said; None if they say nothing."""


@dataclass(frozen=True)
class Proposal:
    """Rows to try on one layer, and what to say once they were. They carry no number: what is expected still counts."""

    rows: tuple[PlannedRow, ...]
    layer: Layer
    say: Say


Choice = Sequence[Proposal]
"""Proposals of which the first that has something to say, and is covered, is taken."""


def trial(row: PlannedRow, **otherwise: Any) -> PlannedRow:
    """The row with something otherwise, without its number.

    Thousands are made for a long plan: what stays is taken over as it stands, which ``replace`` would set anew.
    """
    made = object.__new__(PlannedRow)
    vars(made).update(vars(row), counts=False, **otherwise)
    return made


class Papers:
    """What papers of a check say of days, people, methods and taxa: where trials are worth while, never a verdict."""

    def __init__(self, check: PlanCheck) -> None:
        self._bench = check.bench
        self._validity: dict[tuple[int, int, int], Validity] = {}
        self.ways: dict[tuple[int, float, float], list[float]] = {}
        """By ``id`` of a place of a paper and a point, in which directions its edge lies: rows of a stop ask alike."""

    @cached_property
    def by_key(self) -> dict[int, Paper]:
        """The papers that may speak, by their key."""
        return dict(zip(self._bench.paper_ids, self._bench.papers, strict=True))

    def used(self, answer: Answer) -> list[Paper]:
        """The papers behind an answer."""
        return [self.by_key[used.pk] for used in answer.papers if used.pk in self.by_key]

    def versions(self, answer: Answer) -> list[tuple[Paper, Version]]:
        """Their versions, those that were tested first."""
        found = []
        for used in answer.papers:
            paper = self.by_key.get(used.pk)
            versions = paper.versions if paper else ()
            found += [(paper, v) for v in sorted(versions, key=lambda v: v.from_day not in used.versions) if paper]
        return found

    def speaking(self, row: PlannedRow, layer: Layer) -> list[tuple[int, Paper]]:
        """Papers of a layer that may speak for the stop of a row."""
        key = plan_key(row.plan, row.stop)
        sites = {fold(text) for term, text in row.place if term in ("locationID", "siteName") and text}
        return [
            (pk, paper)
            for pk, paper in self.by_key.items()
            if layer in paper.layers
            and paper.versions
            and (paper.covers.all_accessions or key in paper.covers.accessions or paper.covers.sites & sites)
        ]

    def borders(self, row: PlannedRow, layer: Layer, first: date, last: date) -> list[date]:
        """Days after the first, up to the last, on which a paper or rule begins or is over since the day before."""
        low, high = first.toordinal(), last.toordinal()
        days = set()
        for pk, paper in self.speaking(row, layer):
            validity = self._valid(pk, paper, first.year, last.year)
            days |= {*validity.start.tolist(), *(validity.end + 1).tolist()}
        for rule in self._bench.requirements.rules or ():
            days |= {rule.from_day or 0, (rule.to_day or 0) + 1}
        return [date.fromordinal(day) for day in sorted(days) if low < day <= high]

    def _valid(self, pk: int, paper: Paper, first: int, last: int) -> Validity:
        key = (pk, first, last)
        if key not in self._validity:
            self._validity[key] = Validity(paper, (first, last))
        return self._validity[key]


@dataclass(frozen=True)
class Case:
    """One row on one layer that needs a look."""

    check: PlanCheck
    cell: CheckedCell
    answer: Answer
    papers: Papers

    @property
    def row(self) -> PlannedRow:
        return self.answer.row

    @property
    def layer(self) -> Layer:
        return self.answer.layer

    @property
    def beside(self) -> list[PlannedRow]:
        """The other rows of the stop."""
        return [answer.row for answer in self.cell.answers if answer.row is not self.row]

    def fails_only_by(self, codes: Iterable[str]) -> bool:
        """Whether nothing but these findings stands against it.

        The findings are those of the paper that came nearest (the contract, section 7.5): where it fails two tests, no
        paper fails one alone, and one change cannot settle it.
        """
        found = set(self.answer.codes) - set(REMARKS)
        return bool(found) and found <= set(codes)

    def draft(self, code: str, words: str, answers: Sequence[Answer], **more: Any) -> Draft:
        """What is said of the stop; the papers are those of the answers."""
        papers = tuple({used.pk: used for answer in answers for used in answer.papers}.values())
        tried = tuple(answer.row for answer in answers if answer.verdict == Verdict.COVERED)
        return Draft(code, words, self.row.stop, self.layer, papers, tried=tried, **more)


def are_covered(answers: Iterable[Answer]) -> bool:
    """Whether the engine answers covered for all of them."""
    return all(answer.verdict == Verdict.COVERED for answer in answers)


def judged(check: PlanCheck, proposals: Iterable[Proposal]) -> Callable[[PlannedRow, Layer], Answer]:
    """All rows of the proposals judged, those of a layer at once; gives the answer for a row on a layer.

    A row is judged on the layers for which it is proposed alone: on the others nobody asks what it would be. Rows are
    told apart as objects, which the proposals keep: to compare what stands in them takes longer than to judge them.
    """
    of_layer: dict[Layer, dict[int, PlannedRow]] = defaultdict(dict)
    for proposal in proposals:
        of_layer[proposal.layer].update((id(row), row) for row in proposal.rows)
    found = {
        layer: dict(zip(rows, check.bench.judge(list(rows.values()), [layer]), strict=True))
        for layer, rows in sorted(of_layer.items())
    }
    return lambda row, layer: found[layer][id(row)][0]
