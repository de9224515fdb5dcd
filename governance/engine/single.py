"""One paper covers: every test of it is yes (VERDICTS section 7.3)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from governance.engine.answers import YES
from governance.engine.columns import REMARK_BIT
from governance.engine.layer_case import LayerCase
from governance.engine.outcomes import FindingRows
from governance.engine.tables import CODE, NONE, REMARKS, BoolColumn, ByteColumn, IntColumn, Rows, Verdict

_NEVER = np.int32(2**30)
"""Later than any pair."""


class SinglePaper:
    """Finds for each unit the first paper of the file that covers it alone."""

    def __init__(self, case: LayerCase) -> None:
        self.case = case

    def cover(self, outcome: IntColumn) -> None:
        """Settle the units that a paper covers; all others stay open (-1)."""
        sound = (self.case.pair_failing == 0) & ~self.case.is_unread
        capped = self.case.is_capped[self.case.pairs.edition]
        cover = self._first_cover(np.flatnonzero(sound & ~capped))
        for paper in self.case.caps.answers:
            self._cover_capped(paper, np.flatnonzero(sound & (self.case.pairs.paper == paper) & capped), cover)
        covered = np.flatnonzero(cover < _NEVER)
        if len(covered):
            self._add_covered(outcome, covered, cover[covered])

    def _first_cover(self, sound: Rows) -> IntColumn:
        """For each unit the first pair that covers it: one bit an edition, found word by word."""
        cover = np.full(len(self.case.unit_event), _NEVER, np.int32)
        words = (len(self.case.pairs.editions) + 63) // 64
        event_bits = np.zeros((words, len(self.case.events)), np.uint64)
        pair_of = np.full((len(self.case.events),), -1, np.int64)
        edition = self.case.pairs.edition[sound]
        bit = np.uint64(1) << (edition % 64).astype(np.uint64)
        np.bitwise_or.at(event_bits, (edition // 64, self.case.pairs.event[sound]), bit)
        kind_bits = _packed(self.case.kind_table.failing == 0)
        left = np.ones(len(cover), bool)
        for word in range(words):
            both = event_bits[word][self.case.unit_event] & kind_bits[word][self.case.unit_kind]
            hit = np.flatnonzero((both != 0) & left)
            left[hit] = False
            lowest = both[hit] & (~both[hit] + np.uint64(1))
            number = word * 64 + np.log2(lowest.astype(np.float64)).astype(np.int32)
            for one in np.unique(number).tolist():
                own = hit[number == one]
                of_edition = sound[edition == one]
                pair_of[self.case.pairs.event[of_edition]] = of_edition
                cover[own] = pair_of[self.case.unit_event[own]]
        return cover

    def _cover_capped(self, paper: int, sound: Rows, cover: IntColumn) -> None:
        """A paper with a cap, whose answer differs by unit: lower the first pair where it covers."""
        units, pair = self.case.units_of(sound)
        answers = self.case.caps.answers[paper]
        row = np.searchsorted(answers.units, units)
        good = self.case.kind_table.failing[self.case.pairs.edition[pair], self.case.unit_kind[units]] == 0
        good &= answers.column.answer[row] == YES
        cover[units[good]] = np.minimum(cover[units[good]], pair[good])

    def _add_covered(self, outcome: IntColumn, units: Rows, pair: IntColumn) -> None:
        """One outcome for each pair and set of remarks."""
        remarks = self.case.remarks(units, pair)
        key = pair.astype(np.int64) * 256 + remarks
        _, example, number = np.unique(key, return_index=True, return_inverse=True)
        own, bits = pair[example], remarks[example]
        rows, remark = np.nonzero(_unpacked(bits))
        code = np.array([CODE[c] for c in REMARKS], np.uint8)[remark]
        none = np.full(len(rows), np.nan)
        findings = FindingRows(np.bincount(rows, minlength=len(own)), code, none, none)
        first = self.case.outcomes.add(
            np.full(len(own), Verdict.COVERED, np.uint8),
            self.case.outcomes.set_numbers(self.case.pairs.edition[own]),
            self.case.pairs.event[own],
            np.full(len(own), NONE, np.int32),
            findings,
        )
        outcome[units] = first + number.reshape(-1)


def _packed(flags: BoolColumn) -> npt.NDArray[np.uint64]:
    """Flags of shape (n, m) as words of 64 along n, lowest bit first: shape (ceil(n / 64), m)."""
    words = (len(flags) + 63) // 64
    packed = np.zeros((words, flags.shape[1]), np.uint64)
    for row, flag in enumerate(flags):
        packed[row // 64] |= flag.astype(np.uint64) << np.uint64(row % 64)
    return packed


def _unpacked(bits: ByteColumn) -> BoolColumn:
    """The remark bits of each row, shape (n, number of remarks)."""
    return np.stack([bits & REMARK_BIT[code] != 0 for code in REMARKS], axis=1)
