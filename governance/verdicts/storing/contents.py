"""Distinct answers of an assessment as content: what is the same to a reader is one outcome, known by its digest."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from governance.engine import Assessment
from governance.engine.explain import BY_DECISION, TEMPLATES, Explainer
from governance.engine.outcomes import Outcomes
from governance.engine.tables import (
    CODES,
    NONE,
    BoolColumn,
    Finding,
    IntColumn,
    Layer,
    LongColumn,
    SearchState,
    Verdict,
)
from governance.verdicts.feed import Feed
from governance.verdicts.feed.rows import select
from governance.verdicts.searched import SearchStates, search_states

_OTHER_DAY = frozenset({Layer.EXPORT, Layer.IMPORT, Layer.CITES, Layer.TRANSFER})


@dataclass(frozen=True)
class PaperContent:
    """A paper of an outcome: key, reference, start days (ISO 8601, None for unknown) of the versions tested."""

    paper: int
    reference: str
    versions: list[str | None]


@dataclass(frozen=True)
class OutcomeContent:
    """One answer of a layer. digest: SHA-256 of all else."""

    digest: str
    layer: int
    verdict: int
    papers: tuple[PaperContent, ...]
    findings: tuple[tuple[Finding, str], ...]


@dataclass(frozen=True)
class Contents:
    """outcomes: distinct over all layers. of_specimen: int32, shape (n_specimens, 9), rows of outcomes."""

    outcomes: list[OutcomeContent]
    of_specimen: IntColumn


def contents_of(fed: Feed, assessment: Assessment, outline_error_m: float) -> Contents:
    """The content of every specimen's nine answers."""
    explainer = Explainer(fed.material, assessment, fed.house.rules, outline_error_m)
    maker = _Maker(fed, assessment, explainer)
    of_specimen = np.empty((len(fed.specimens), len(assessment.layers)), np.int32)
    states = search_states(fed.specimens)
    for column in range(len(assessment.layers)):
        of_specimen[:, column] = maker.layer(column, states)
    return Contents(maker.outcomes, of_specimen)


class _Maker:
    """Collects contents, each once."""

    def __init__(self, fed: Feed, assessment: Assessment, explainer: Explainer) -> None:
        self.outcomes: list[OutcomeContent] = []
        self._numbers: dict[str, int] = {}
        self._fed = fed
        self._assessment = assessment
        self._explainer = explainer
        self._renamed = _renamed_papers(fed)

    def layer(self, column: int, states: SearchStates) -> IntColumn:
        """The content number of each specimen on one layer."""
        outcomes = self._assessment.outcomes[column]
        example, group = _alike(outcomes, other_day=self._assessment.layers[column] in _OTHER_DAY)
        made = np.array([self._number(column, n) for n in example.tolist()], np.int32)
        numbers = made[group][self._assessment.outcome[:, column]] if len(example) else np.zeros(0, np.int32)
        self._put_searches(numbers, column, states)
        self._put_decisions(numbers, column)
        return numbers

    def _put_decisions(self, numbers: IntColumn, column: int) -> None:
        """Where a person decided that no paper is required, that it was a person and no rule."""
        layer, material = self._assessment.layers[column], self._fed.material
        named = [(layer, text) in self._fed.requirements.decided for text in material.accessions]
        decided = np.array([*named, False], bool)[material.specimens.accession]
        rows = np.flatnonzero(decided & (self._assessment.verdict[:, column] == Verdict.NOT_REQUIRED))
        if len(rows):
            numbers[rows] = self._keep(int(layer), int(Verdict.NOT_REQUIRED), (), [(Finding(""), BY_DECISION)])

    def _put_searches(self, numbers: IntColumn, column: int, states: SearchStates) -> None:
        """Where no paper is linked, what the search came to."""
        layer = self._assessment.layers[column]
        state = states.of_layer(layer)
        if state is None:
            return
        missing = np.array([o.layer == layer and _is_missing(o) for o in self.outcomes], bool)[numbers]
        for value in (SearchState.KNOWN_NOT_LOCATED, SearchState.NONE_FOUND):
            rows = np.flatnonzero((state == value) & missing)
            if len(rows):
                old = self.outcomes[numbers[rows[0]]]
                numbers[rows] = self._keep(old.layer, old.verdict, (), [(Finding(value.code), TEMPLATES[value.code])])

    def _number(self, column: int, outcome: int) -> int:
        outcomes = self._assessment.outcomes[column]
        papers = tuple(
            PaperContent(
                self._fed.papers.ids[edition.paper],
                self._assessment.papers[edition.paper].reference,
                [_iso(day) for day in self._fed.papers.versions_of(edition)],
            )
            for edition in outcomes.editions_of(outcome)
        )
        layer, verdict = int(self._assessment.layers[column]), int(outcomes.verdict[outcome])
        return self._keep(layer, verdict, papers, self._explainer.left_open(column, outcome))

    def _keep(
        self, layer: int, verdict: int, papers: tuple[PaperContent, ...], findings: Sequence[tuple[Finding, str]]
    ) -> int:
        digest = self._digest(layer, verdict, papers, findings)
        number = self._numbers.setdefault(digest, len(self.outcomes))
        if number == len(self.outcomes):
            self.outcomes.append(OutcomeContent(digest, layer, verdict, papers, tuple(findings)))
        return number

    def _digest(self, layer: int, verdict: int, papers: Sequence[PaperContent], findings: Any) -> str:
        """Keys of papers stay out, so that two databases agree, unless another paper once had the reference."""
        named = [[p.reference, p.versions, *([p.paper] if p.reference in self._renamed else [])] for p in papers]
        found = [[f.code, f.measure, f.against, f.unit, sentence] for f, sentence in findings]
        text = json.dumps([layer, verdict, named, found], ensure_ascii=False, separators=(",", ":"))
        return hashlib.sha256(text.encode()).hexdigest()


def _is_missing(outcome: OutcomeContent) -> bool:
    return [finding.code for finding, _ in outcome.findings] == [SearchState.NOT_SEARCHED.code]


def _renamed_papers(fed: Feed) -> set[str]:
    """References under which stored outcomes know another paper than the one that bears it now."""
    now: Mapping[str, int] = {paper.reference: pk for pk, paper in zip(fed.papers.ids, fed.papers.papers, strict=True)}
    rows = select("SELECT DISTINCT reference, paper_id FROM verdicts_outcomepaper")
    return {reference for reference, paper in rows if now.get(reference, paper) != paper}


def _iso(day: int | None) -> str | None:
    return None if day is None else date.fromordinal(day).isoformat()


def _uses(word: str) -> BoolColumn:
    """By code, whether its sentence has the word."""
    return np.array([f"{{{word}}}" in TEMPLATES[code] for code in CODES], bool)


_SEXES, _STAGES = _uses("sexes"), _uses("stages")
_DAY = _uses("when") | _uses("hint")


def _alike(outcomes: Outcomes, *, other_day: bool) -> tuple[LongColumn, LongColumn]:
    """Outcomes that read alike before a specimen's own words are filled in: an example of each, and the number of each.

    other_day: the sentence holds the day, which is not that of the event.
    """
    counts = np.diff(outcomes.start)
    row = np.repeat(np.arange(len(outcomes)), counts)
    place = np.arange(len(row)) - np.repeat(outcomes.start[:-1], counts)
    most = int(counts.max(initial=0))
    table = np.full((len(outcomes), 6 + 3 * most), -1, np.int64)
    table[:, 0], table[:, 1] = outcomes.verdict, outcomes.editions
    columns = (outcomes.code.astype(np.int64), outcomes.measure.view(np.int64), outcomes.against.view(np.int64))
    for number, values in enumerate(columns):
        table[row, 6 + number * most + place] = values
    _add_words(table, outcomes, row, other_day=other_day)
    return _distinct_rows(table)


_MIXER = np.uint64(0x9E3779B97F4A7C15)
"""An odd number with bits everywhere: 2**64 divided by the golden ratio."""


def _distinct_rows(table: LongColumn) -> tuple[LongColumn, LongColumn]:
    """An example of each distinct row, and the number of each row.

    Rows are told apart by one mixed number each, since sorting whole rows takes ten times as long; if two different
    rows ever got the same number, they are sorted after all.
    """
    key = np.zeros(len(table), np.uint64)
    for column in table.T:
        key = (key ^ column.astype(np.uint64)) * _MIXER
        key ^= key >> np.uint64(29)
    _, example, group = np.unique(key, return_index=True, return_inverse=True)
    if not (table[example[group.reshape(-1)]] == table).all():
        _, example, group = np.unique(table, axis=0, return_index=True, return_inverse=True)
    return example, group.reshape(-1)


def _add_words(table: LongColumn, outcomes: Outcomes, row: LongColumn, *, other_day: bool) -> None:
    """Columns 2 to 5: what else the sentences say: days, sexes, stages; and whether the event matters at all."""

    def asks(uses: BoolColumn) -> BoolColumn:
        flags = np.zeros(len(outcomes), bool)
        flags[row[uses[outcomes.code]]] = True
        return flags

    sexes = asks(_SEXES) & (outcomes.kind != NONE)
    stages = asks(_STAGES) & (outcomes.kind != NONE)
    table[sexes, 2] = outcomes.kinds.sexes[outcomes.kind[sexes]]
    table[stages, 3] = outcomes.kinds.life_stages[outcomes.kind[stages]]
    if other_day:
        days = asks(_DAY) & (outcomes.event != NONE)
        table[days, 4] = outcomes.events.date[outcomes.event[days]]
        table[days, 5] = outcomes.events.arrival[outcomes.event[days]]
