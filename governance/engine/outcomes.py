"""What came out: verdicts by specimen and layer, and for each distinct outcome its papers and findings, as columns."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from governance.engine.columns import finding_of
from governance.engine.kinds import Kinds
from governance.engine.pairs import Edition, Events
from governance.engine.tables import (
    CODES,
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

    editions: what was tested: row into ``edition_sets``, each a tuple of rows into ``edition_table`` (empty: no paper).
    event, kind: an example of each, for sentences; -1 where none matters.
    start: where the findings of each outcome begin in code, measure, against (one longer than the outcomes).
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
        rows = range(int(self.start[outcome]), int(self.start[outcome + 1]))
        return tuple(finding_of(CODES[self.code[r]], self.measure[r], self.against[r]) for r in rows)

    def every_finding(self) -> list[tuple[Finding, ...]]:
        """The findings of every outcome, as ``findings`` gives them."""
        rows = zip(self.code.tolist(), self.measure.tolist(), self.against.tolist(), strict=True)
        made = [finding_of(CODES[code], measure, against) for code, measure, against in rows]
        bounds = self.start.tolist()
        return [tuple(made[first:last]) for first, last in itertools.pairwise(bounds)]

    def editions_of(self, outcome: int) -> tuple[Edition, ...]:
        return tuple(self.edition_table[n] for n in self.edition_sets[self.editions[outcome]])

    def spelled_out(self, outcome: int) -> LayerVerdict:
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
    outcomes of that layer.
    """

    layers: tuple[Layer, ...]
    verdict: npt.NDArray[np.uint8]
    outcome: npt.NDArray[np.int32]
    outcomes: tuple[Outcomes, ...]
    papers: Sequence[Paper]

    def worst(self) -> npt.NDArray[np.uint8]:
        """The verdict of each specimen: the worst of its layers (covered where no layer was judged)."""
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


class OutcomeColumns:
    """Collects blocks of outcomes, and makes one table of them."""

    def __init__(self, edition_table: Sequence[Edition], events: Events, kinds: Kinds) -> None:
        self.edition_table = edition_table
        self.events = events
        self.kinds = kinds
        self._sets: dict[tuple[int, ...], int] = {(): 0}
        self._blocks: list[tuple[np.ndarray, ...]] = []
        self.count = 0

    def set_number(self, editions: tuple[int, ...]) -> int:
        return self._sets.setdefault(editions, len(self._sets))

    def set_numbers(self, editions: IntColumn) -> IntColumn:
        """Set numbers of single editions, shape of editions."""
        numbers = np.zeros(len(self.edition_table), np.int32)
        for edition in np.unique(editions).tolist():
            numbers[edition] = self.set_number((edition,))
        return numbers[editions]

    def add(self, verdict: ByteColumn, sets: IntColumn, event: IntColumn, kind: IntColumn, counts: LongColumn,
            code: ByteColumn, measure: FloatColumn, against: FloatColumn) -> int:  # fmt: skip
        """Add a block; returns the number of its first outcome."""
        first = self.count
        self._blocks.append((verdict, sets, event, kind, counts, code, measure, against))
        self.count += len(verdict)
        return first

    def add_one(self, verdict: Verdict, findings: Sequence[Finding] = (), editions: tuple[int, ...] = (),
                event: int = -1, kind: int = -1) -> int:  # fmt: skip
        """Add one outcome spelled out; returns its number."""
        return self.add(
            np.array([verdict], np.uint8),
            np.array([self.set_number(editions)], np.int32),
            np.array([event], np.int32),
            np.array([kind], np.int32),
            np.array([len(findings)], np.int64),
            np.array([CODES.index(f.code) for f in findings], np.uint8),
            np.array([np.nan if f.measure is None else f.measure for f in findings], np.float64),
            np.array([np.nan if f.against is None else f.against for f in findings], np.float64),
        )

    def table(self) -> Outcomes:
        columns = [np.concatenate(parts) for parts in zip(*self._blocks, strict=True)] if self._blocks else []
        if not columns:
            empty = np.zeros(0, np.int32)
            columns = [empty.astype(np.uint8), empty, empty, empty, empty.astype(np.int64), empty.astype(np.uint8),
                       empty.astype(np.float64), empty.astype(np.float64)]  # fmt: skip
        verdict, sets, event, kind, counts, code, measure, against = columns
        start = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
        return Outcomes(verdict, sets, event, kind, start, code, measure, against, tuple(self._sets),
                        self.edition_table, self.events, self.kinds)  # fmt: skip
