"""Several papers cover together, in time or in area (VERDICTS section 7.4)."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

import numpy as np

from governance.engine.answers import YES
from governance.engine.columns import REMARK_BIT
from governance.engine.failing import DATE, PLACE
from governance.engine.layer_case import LayerCase
from governance.engine.tables import CODE, REMARKS, BoolColumn, Finding, IntColumn, Rows, Verdict
from governance.engine.unions import APART_CODES, EDGE_CODES, TIME_CODES, joint_in_area, joint_in_time

Joint = Callable[[Rows], Rows]
"""From pairs of one event to those that are needed to cover together, none if they do not."""


class SeveralPapers:
    """Finds for each unit that no paper covers alone the papers that do so together."""

    def __init__(self, case: LayerCase) -> None:
        self.case = case

    def cover(self, outcome: IntColumn) -> None:
        """Settle the units that papers cover together; all others stay open (-1)."""
        date_codes = [CODE[code] for code in TIME_CODES]
        qualified = self.case.shared.material.dates.qualified[self._pair_date]
        in_time = (self.case.pair_failing == 1 << DATE) & np.isin(self.case.pairs.date.code, date_codes) & ~qualified
        in_area = self._joinable_in_area()
        for joinable, joint in ((in_time, self._joint_in_time), (in_area, self._joint_in_area)):
            weak_place = joint == self._joint_in_area
            partners = np.bincount(self.case.pairs.event[joinable], minlength=len(self.case.events))
            for event in np.flatnonzero(partners > 1).tolist():
                members = self._members(event)
                self._join(outcome, event, members[joinable[members]], joint, weak_place=weak_place)

    def _joinable_in_area(self) -> BoolColumn:
        """Pairs that fail by their place alone, of events where it lies near an edge of some paper's area.

        A paper whose area it is wholly apart from can help only where an edge has an error: if the areas meet, that
        edge is none.
        """
        pairs = self.case.pairs
        by_place = (self.case.pair_failing == 1 << PLACE) & (pairs.place.more == 0)
        near = by_place & np.isin(pairs.place.code, [CODE[code] for code in EDGE_CODES])
        has_error = np.array([bool(e.versions) and self.case.place_test(e).error_m > 0 for e in pairs.editions], bool)
        unsure = np.zeros(len(self.case.events), bool)
        unsure[pairs.event[near & has_error[pairs.edition]]] = True
        apart = by_place & np.isin(pairs.place.code, [CODE[code] for code in APART_CODES])
        return np.asarray(near | (apart & unsure[pairs.event]))

    @cached_property
    def _pair_date(self) -> IntColumn:
        """The date that each pair's paper is held against."""
        arrives = np.array([paper.kind == "cites-import-permit" for paper in self.case.shared.papers], bool)
        event = self.case.pairs.event
        return np.where(arrives[self.case.pairs.paper], self.case.events.arrival[event], self.case.events.date[event])

    def _members(self, event: int) -> Rows:
        """The pairs of an event, in the order of the file."""
        return self.case.by_event[self.case.starts[event] : self.case.starts[event + 1]]

    def _join(self, outcome: IntColumn, event: int, members: Rows, joint: Joint, *, weak_place: bool) -> None:
        """Join the members for the event's units that are still open.

        Units with the same able members share a trial. weak_place: the remarks on the place stand on the joint area.
        """
        first, last = np.searchsorted(self.case.unit_event, (event, event + 1))
        units = np.arange(first, last)[outcome[first:last] < 0]
        if not len(units):
            return
        able = np.stack([self._is_able(units, int(member)) for member in members])
        patterns, number = np.unique(able, axis=1, return_inverse=True)
        for row, pattern in enumerate(patterns.T):
            needed = joint(members[pattern]) if pattern.sum() > 1 else members[:0]
            if len(needed):
                bits = self._place_weaknesses(needed) if weak_place else np.uint8(0)
                self._add_joint(outcome, units[number.reshape(-1) == row], needed, bits)

    def _is_able(self, units: Rows, pair: int) -> BoolColumn:
        """Units for which the pair's other tests (name, sex, stage, numbers) are all yes."""
        able = self.case.kind_table.failing[self.case.pairs.edition[pair], self.case.unit_kind[units]] == 0
        for answers, own, row in self.case.caps.rows_of(units, np.full(len(units), pair)):
            able[own] &= answers.column.answer[row] == YES
        return np.asarray(able)

    def _joint_in_time(self, members: Rows) -> Rows:
        """Members that hold one date against their days; papers of two dates cannot fill each other's holes."""
        dates = self.case.shared.material.dates
        for date in dict.fromkeys(self._pair_date[members].tolist()):
            own = members[self._pair_date[members] == date]
            validities = [self.case.pairs.validities[int(self.case.pairs.paper[m])] for m in own]
            needed = joint_in_time(validities, (int(dates.earliest[date]), int(dates.latest[date])))
            if needed:
                return np.asarray(own[list(needed)])
        return members[:0]

    def _joint_in_area(self, members: Rows) -> Rows:
        """Members whose versions all list the same places; of others no one area can be drawn."""
        usable, tests = [], []
        for member in members.tolist():
            edition = self.case.pairs.editions[self.case.pairs.edition[member]]
            if len({(v.include_places, v.exclude_places) for v in edition.versions}) == 1:
                usable.append(member)
                tests.append(self.case.place_test(edition))
        place = int(self.case.events.place[self.case.pairs.event[members[0]]])
        needed = joint_in_area(tests, self.case.shared.grounds, place)
        return np.array([usable[n] for n in needed], np.int64)

    def _place_weaknesses(self, members: Rows) -> np.uint8:
        """Remarks on a place that only all members together cover: none of them said yes, so none has them."""
        place = self.case.events.place[self.case.pairs.event[members[:1]]]
        bits = np.uint8(0)
        for member in members.tolist():
            edition = self.case.pairs.editions[self.case.pairs.edition[member]]
            bits |= self.case.place_test(edition).weaknesses(place)[0]
        return bits

    def _add_joint(self, outcome: IntColumn, units: Rows, members: Rows, weaknesses: np.uint8) -> None:
        """One outcome for each set of remarks: those of the place, and those of every member."""
        bits = np.full(len(units), weaknesses, np.uint8)
        for member in members.tolist():
            bits |= self.case.remarks(units, np.full(len(units), member))
        editions = tuple(self.case.pairs.edition[members].tolist())
        event = int(self.case.pairs.event[members[0]])
        for value in np.unique(bits).tolist():
            findings = [Finding(code) for code in REMARKS if value & int(REMARK_BIT[code])]
            outcome[units[bits == value]] = self.case.outcomes.add_one(Verdict.COVERED, findings, editions, event)
