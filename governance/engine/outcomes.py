"""What came out: verdicts by specimen and layer, and for each distinct outcome its papers and findings, as columns."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from governance.engine.columns import finding_of
from governance.engine.kinds import Kinds
from governance.engine.pairs import Edition, Events
from governance.engine.tables import (
    CODE,
    CODES,
    NONE,
    ByteColumn,
    Finding,
    FloatColumn,
    IntColumn,
    Layer,
    LayerVerdict,
    LongColumn,
    Paper,
    Verdict,
)


@dataclass(frozen=True)
class Outcomes:
    """The distinct outcomes of one layer, shape (n_outcomes,).

    verdict: uint8. editions: int32, what was tested: row into ``edition_sets``, each a tuple of rows into
    ``edition_table`` (empty: no paper). event, kind: int32, an example of each, for sentences; -1 where none matters.
    start: int64, where the findings of each outcome begin in code (uint8), measure and against (float64, NaN for none);
    one longer than the outcomes.
    """

    verdict: ByteColumn
    editions: IntColumn
    event: IntColumn
    kind: IntColumn
    start: LongColumn
    code: ByteColumn
    measure: FloatColumn
    against: FloatColumn
    edition_sets: Sequence[tuple[int, ...]]
    edition_table: Sequence[Edition]
    events: Events
    kinds: Kinds

    def __len__(self) -> int:
        return len(self.verdict)

    def findings(self, outcome: int) -> tuple[Finding, ...]:
        """The findings of an outcome in the order of the contract; none for a plain yes."""
        rows = range(int(self.start[outcome]), int(self.start[outcome + 1]))
        return tuple(finding_of(CODES[self.code[r]], self.measure[r], self.against[r]) for r in rows)

    def every_finding(self) -> list[tuple[Finding, ...]]:
        """The findings of every outcome, as ``findings`` gives them."""
        rows = zip(self.code.tolist(), self.measure.tolist(), self.against.tolist(), strict=True)
        made = [finding_of(CODES[code], measure, against) for code, measure, against in rows]
        bounds = self.start.tolist()
        return [tuple(made[first:last]) for first, last in itertools.pairwise(bounds)]

    def editions_of(self, outcome: int) -> tuple[Edition, ...]:
        """The papers that were tested, and their versions, in the order of the file."""
        return tuple(self.edition_table[n] for n in self.edition_sets[self.editions[outcome]])

    def spelled_out(self, outcome: int) -> LayerVerdict:
        """An outcome without columns."""
        editions = self.editions_of(outcome)
        return LayerVerdict(
            Verdict(int(self.verdict[outcome])),
            tuple(edition.paper for edition in editions),
            tuple(tuple(version.from_day for version in edition.versions) for edition in editions),
            self.findings(outcome),
        )


@dataclass(frozen=True)
class Assessment:
    """Verdicts of every specimen.

    layers: those judged. verdict: uint8, shape (n_specimens, n_layers). outcome: int32, same shape, row into the
    outcomes of that layer. outcomes: one table a layer. papers: as they were given.
    """

    layers: tuple[Layer, ...]
    verdict: ByteColumn
    outcome: IntColumn
    outcomes: tuple[Outcomes, ...]
    papers: Sequence[Paper]

    def worst(self) -> ByteColumn:
        """The verdict of each specimen, uint8, shape (n_specimens,): the worst of its layers (VERDICTS section 1).

        Covered where no layer was judged.
        """
        if not self.layers:
            return np.zeros(len(self.verdict), np.uint8)
        return np.asarray(self.verdict.max(axis=1))


def unfold(assessment: Assessment) -> list[dict[Layer, LayerVerdict]]:
    """Every specimen's verdicts spelled out, one dict a specimen: for small material and for tests."""
    spelled = [[outcomes.spelled_out(n) for n in range(len(outcomes))] for outcomes in assessment.outcomes]
    return [
        {layer: spelled[column][row[column]] for column, layer in enumerate(assessment.layers)}
        for row in assessment.outcome
    ]


@dataclass(frozen=True)
class FindingRows:
    """The findings of a block of outcomes: how many each has, and one after the other their columns as in Outcomes."""

    counts: LongColumn
    code: ByteColumn
    measure: FloatColumn
    against: FloatColumn

    @classmethod
    def of(cls, findings: Sequence[Finding]) -> FindingRows:
        """The findings of one outcome."""
        count = len(findings)
        rows = cls(np.array([count]), np.zeros(count, np.uint8), np.full(count, np.nan), np.full(count, np.nan))
        for row, finding in enumerate(findings):
            rows.put(row, finding)
        return rows

    def put(self, row: int, finding: Finding) -> None:
        """Write one finding."""
        self.code[row] = CODE[finding.code]
        self.measure[row] = np.nan if finding.measure is None else finding.measure
        self.against[row] = np.nan if finding.against is None else finding.against


class OutcomeColumns:
    """Collects blocks of outcomes, and makes one table of them."""

    def __init__(self, edition_table: Sequence[Edition], events: Events, kinds: Kinds) -> None:
        self.edition_table = edition_table
        self.events = events
        self.kinds = kinds
        self._sets: dict[tuple[int, ...], int] = {(): 0}
        self._blocks: list[tuple[ByteColumn, IntColumn, IntColumn, IntColumn, FindingRows]] = []
        self.count = 0

    def set_number(self, editions: tuple[int, ...]) -> int:
        """The number of a set of editions, the same whenever it comes again."""
        return self._sets.setdefault(editions, len(self._sets))

    def set_numbers(self, editions: IntColumn) -> IntColumn:
        """Set numbers of single editions, shape of editions."""
        numbers = np.zeros(len(self.edition_table), np.int32)
        for edition in np.unique(editions).tolist():
            numbers[edition] = self.set_number((edition,))
        return numbers[editions]

    def add(
        self, verdict: ByteColumn, sets: IntColumn, event: IntColumn, kind: IntColumn, findings: FindingRows
    ) -> int:
        """Add a block; returns the number of its first outcome."""
        first = self.count
        self._blocks.append((verdict, sets, event, kind, findings))
        self.count += len(verdict)
        return first

    def add_one(
        self,
        verdict: Verdict,
        findings: Sequence[Finding] = (),
        editions: tuple[int, ...] = (),
        event: int = NONE,
    ) -> int:
        """Add one outcome spelled out; returns its number."""
        return self.add(
            np.array([verdict], np.uint8),
            np.array([self.set_number(editions)], np.int32),
            np.array([event], np.int32),
            np.array([NONE], np.int32),
            FindingRows.of(findings),
        )

    def table(self) -> Outcomes:
        """All blocks, in the order in which they were added."""
        blocks = self._blocks
        findings = [block[4] for block in blocks]
        counts = np.concatenate([np.zeros(1, np.int64), *[rows.counts for rows in findings]])
        return Outcomes(
            verdict=np.concatenate([np.zeros(0, np.uint8), *[block[0] for block in blocks]]),
            editions=np.concatenate([np.zeros(0, np.int32), *[block[1] for block in blocks]]),
            event=np.concatenate([np.zeros(0, np.int32), *[block[2] for block in blocks]]),
            kind=np.concatenate([np.zeros(0, np.int32), *[block[3] for block in blocks]]),
            start=np.cumsum(counts),
            code=np.concatenate([np.zeros(0, np.uint8), *[rows.code for rows in findings]]),
            measure=np.concatenate([np.zeros(0), *[rows.measure for rows in findings]]),
            against=np.concatenate([np.zeros(0), *[rows.against for rows in findings]]),
            edition_sets=tuple(self._sets),
            edition_table=self.edition_table,
            events=self.events,
            kinds=self.kinds,
        )
