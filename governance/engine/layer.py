"""The verdict of one layer for every unit (VERDICTS section 7).

A *unit* is an event with a kind: all its specimens get one outcome.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from governance.engine.answers import NO, YES, and_
from governance.engine.caps import Lots, judge_caps
from governance.engine.columns import REMARK_BIT, Column, MoreFindings, join_versions, yes
from governance.engine.kinds import KindTable, KindTests
from governance.engine.nearest import Question, Triples, nearest_pairs, rank_of, result_of
from governance.engine.outcomes import OutcomeColumns, Outcomes
from governance.engine.pairs import PLACE_OPTIONAL, Edition, Events, Pairs, PaperTests
from governance.engine.places import Grounds, PlaceTest, measure_all, unmeasured
from governance.engine.requirements import Required, requirement
from governance.engine.tables import (
    CODE,
    CODES,
    OPEN_END,
    OPEN_START,
    REMARKS,
    BoolColumn,
    DateReading,
    Finding,
    FloatColumn,
    IntColumn,
    Layer,
    Material,
    Paper,
    Requirements,
    SearchState,
    Verdict,
)
from governance.engine.taxa import Classification
from governance.engine.unions import AREA_CODES, TIME_CODES, joint_in_area, joint_in_time

DATE, PLACE, TAXON, METHODS, PEOPLE, SEXES, STAGES, NUMBERS, UNREAD = range(9)
"""The tests of a paper in the order of the contract; a bit each where failing tests are kept as bits."""

_NEVER = np.int32(2**30)
Joint = Callable[[npt.NDArray[np.int64]], npt.NDArray[np.int64]]
"""From pairs of one event to those that are needed to cover together, none if they do not."""


@dataclass(frozen=True)
class Shared:
    """What all layers share."""

    material: Material
    papers: Sequence[Paper]
    requirements: Requirements
    search_state: SearchState
    classification: Classification
    more: MoreFindings
    grounds: Grounds
    paper_tests: PaperTests
    kind_tests: KindTests


@dataclass(frozen=True)
class CapAnswers:
    """One paper's caps against the units linked to it. units: ascending; tested: some cap counts the unit."""

    units: npt.NDArray[np.int64]
    column: Column
    tested: BoolColumn


class LayerJudge:
    """Judges all units of one layer.

    unit_event, unit_kind: shape (n_units,), events in ascending order. counts: individuals of each unit, certain and
    possible.
    """

    def __init__(self, shared: Shared, layer: Layer, events: Events, unit_event: IntColumn, unit_kind: IntColumn,
                 counts: tuple[FloatColumn, FloatColumn]) -> None:  # fmt: skip
        self.shared = shared
        self.layer = layer
        self.events = events
        self.unit_event = unit_event
        self.unit_kind = unit_kind
        self.low, self.high = counts
        self.pairs: Pairs = shared.paper_tests.judge(layer, events, shared.material.dates)
        self.kind_answers = [shared.kind_tests.judge(edition) for edition in self.pairs.editions]
        self.kind_table = KindTable.of(self.kind_answers, len(shared.kind_tests.kinds))
        self.outcomes = OutcomeColumns(self.pairs.editions, events, shared.kind_tests.kinds)

    def judge(self) -> tuple[Outcomes, IntColumn]:
        """The layer's distinct outcomes, and the outcome of each unit."""
        outcome = np.full(len(self.unit_event), -1, np.int32)
        self._cover(outcome)
        self._cover_together(outcome)
        self._leave_out(outcome)
        self._miss(outcome)
        self._come_nearest(outcome)
        return self.outcomes.table(), outcome

    # The pairs: what does not depend on the kind.

    @cached_property
    def by_event(self) -> IntColumn:
        """Pair numbers by event and, within it, by paper."""
        return np.argsort(self.pairs.event, kind="stable").astype(np.int32)

    @cached_property
    def starts(self) -> npt.NDArray[np.int64]:
        return np.searchsorted(self.pairs.event[self.by_event], np.arange(len(self.events) + 1))

    @cached_property
    def is_unread(self) -> BoolColumn:
        unread = np.array([not edition.versions for edition in self.pairs.editions], bool)
        return unread[self.pairs.edition]

    @cached_property
    def pair_failing(self) -> npt.NDArray[np.uint16]:
        pairs = self.pairs
        failing = self.is_unread.astype(np.uint16) << UNREAD
        for test, column in ((DATE, pairs.date), (PLACE, pairs.place), (METHODS, pairs.methods), (PEOPLE, pairs.people)):
            failing |= (column.answer != YES).astype(np.uint16) << test
        return failing

    @cached_property
    def pair_no(self) -> BoolColumn:
        pairs = self.pairs
        return and_(pairs.date.answer, pairs.place.answer, pairs.methods.answer, pairs.people.answer) == NO

    @cached_property
    def pair_straddles(self) -> BoolColumn:
        """The only no is a straddling date."""
        pairs = self.pairs
        others = and_(pairs.place.answer, pairs.methods.answer, pairs.people.answer)
        return (pairs.date.code == CODE["straddles"]) & (others != NO)

    @cached_property
    def is_capped(self) -> BoolColumn:
        """Editions with a cap in some version."""
        return np.array([any(v.caps for v in e.versions) for e in self.pairs.editions], bool)

    # Caps: sums over all units that are linked to a paper.

    @cached_property
    def cap_answers(self) -> dict[int, CapAnswers]:
        capped = {e.paper for e, capped in zip(self.pairs.editions, self.is_capped, strict=True) if capped}
        return {paper: self._judge_caps(paper) for paper in sorted(capped)}

    def _units_of(self, pair: npt.NDArray[np.intp]) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
        """Units of the events of some pairs of one paper, ascending, and the pair of each."""
        pair_of_event = np.full(len(self.events), -1, np.int64)
        pair_of_event[self.pairs.event[pair]] = pair
        units = np.flatnonzero(pair_of_event[self.unit_event] >= 0)
        return units, pair_of_event[self.unit_event[units]]

    def _judge_caps(self, paper: int) -> CapAnswers:
        """Each version's caps count all lots of the paper; the versions that a date touches then join as in any test."""
        units, pair = self._units_of(np.flatnonzero(self.pairs.paper == paper))
        lots = self._lots(units, pair)
        edition = self.pairs.edition[pair]
        answers = {caps: judge_caps(list(caps), lots, self.shared.classification, self.shared.more)
                   for caps in {v.caps for n in np.unique(edition) for v in self.pairs.editions[n].versions}}  # fmt: skip
        column, tested = yes(len(lots)), np.zeros(len(lots), bool)
        for number in np.unique(edition).tolist():
            own = np.flatnonzero(edition == number)
            of_versions = [answers[v.caps] for v in self.pairs.editions[number].versions]
            columns = [answer.take(own) for answer, _ in of_versions]
            column.put(own, join_versions(columns, is_run=self.pairs.editions[number].is_run, more=self.shared.more,
                                          codes=CODES))  # fmt: skip
            tested[own] = np.logical_or.reduce([counted[own] for _, counted in of_versions])
        return CapAnswers(units, column, tested)

    def _lots(self, units: npt.NDArray[np.int64], pair: npt.NDArray[np.int64]) -> Lots:
        pairs, events = self.pairs, self.events
        event, kind = self.unit_event[units], self.unit_kind[units]
        dates = self.shared.material.dates
        first_pair_paper = self.shared.papers[int(pairs.paper[pair[0]])] if len(pair) else None
        date = (events.date_for(first_pair_paper) if first_pair_paper else events.date)[event]
        known = np.isin(dates.reading[date], (DateReading.RUN, DateReading.VAGUE))
        earliest = np.where(known, dates.earliest[date], OPEN_START).astype(np.int64)
        latest = np.where(known, dates.latest[date], OPEN_END).astype(np.int64)
        taxon_answer = np.stack([a.taxon.answer for a in self.kind_answers])[pairs.edition[pair], kind]
        straddling = pairs.date.code[pair] == CODE["straddles"]
        date_no = (pairs.date.answer[pair] == NO) & ~straddling
        place = pairs.place.answer[pair]
        return Lots(
            taxon=self.shared.kind_tests.kinds.taxon[kind],
            earliest=earliest,
            latest=latest,
            first_year=_years(earliest),
            last_year=_years(latest),
            site=self._sites[0][events.place[event]],
            same_site=self._sites[1],
            event=events.event[event],
            low=self.low[units],
            high=self.high[units],
            certain=and_(pairs.date.answer[pair], place, taxon_answer) == YES,
            possible=~date_no & (place != NO) & (taxon_answer != NO),
        )

    @cached_property
    def _sites(self) -> tuple[IntColumn, list[npt.NDArray[np.int64]]]:
        """For each place the number of its set of site keys, -1 blank; for each number those that share a key."""
        numbers: dict[frozenset[str], int] = {}
        column = [numbers.setdefault(keys, len(numbers)) if keys else -1 for keys in self.shared.grounds.sites]
        holders: dict[str, list[int]] = {}
        for keys, number in numbers.items():
            for key in keys:
                holders.setdefault(key, []).append(number)
        same = [np.unique([n for key in keys for n in holders[key]]).astype(np.int64) for keys in numbers]
        return np.array(column, np.int32), same

    def _cap_rows(self, unit: npt.NDArray[np.int64], pair: npt.NDArray[np.int64]) -> list[tuple[CapAnswers, np.ndarray, np.ndarray]]:
        """For each capped paper: its answers, which of the triples are its, and their rows in the answers."""
        found = []
        paper = self.pairs.paper[pair]
        for number, answers in self.cap_answers.items():
            own = np.flatnonzero(paper == number)
            if len(own):
                found.append((answers, own, np.searchsorted(answers.units, unit[own])))
        return found

    # 7.3 One paper covers.

    def _cover(self, outcome: IntColumn) -> None:
        sound = (self.pair_failing == 0) & ~self.is_unread
        capped = self.is_capped[self.pairs.edition]
        cover = self._first_cover(np.flatnonzero(sound & ~capped))
        for paper in self.cap_answers:
            self._cover_capped(paper, np.flatnonzero(sound & (self.pairs.paper == paper) & capped), cover)
        covered = np.flatnonzero(cover < _NEVER)
        if len(covered):
            self._add_covered(outcome, covered, cover[covered])

    def _first_cover(self, sound: npt.NDArray[np.intp]) -> IntColumn:
        """For each unit the first pair that covers it: one bit an edition, found word by word."""
        cover = np.full(len(self.unit_event), _NEVER, np.int32)
        words = (len(self.pairs.editions) + 63) // 64
        event_bits = np.zeros((words, len(self.events)), np.uint64)
        pair_of = np.full((len(self.events),), -1, np.int64)
        edition = self.pairs.edition[sound]
        bit = np.uint64(1) << (edition % 64).astype(np.uint64)
        np.bitwise_or.at(event_bits, (edition // 64, self.pairs.event[sound]), bit)
        kind_bits = _packed(self.kind_table.failing == 0)
        left = np.ones(len(cover), bool)
        for word in range(words):
            both = event_bits[word][self.unit_event] & kind_bits[word][self.unit_kind]
            hit = np.flatnonzero((both != 0) & left)
            left[hit] = False
            lowest = both[hit] & (~both[hit] + np.uint64(1))
            number = word * 64 + np.log2(lowest.astype(np.float64)).astype(np.int32)
            for one in np.unique(number).tolist():
                own = hit[number == one]
                of_edition = sound[edition == one]
                pair_of[self.pairs.event[of_edition]] = of_edition
                cover[own] = pair_of[self.unit_event[own]]
        return cover

    def _cover_capped(self, paper: int, sound: npt.NDArray[np.intp], cover: IntColumn) -> None:
        units, pair = self._units_of(sound)
        answers = self.cap_answers[paper]
        row = np.searchsorted(answers.units, units)
        good = self.kind_table.failing[self.pairs.edition[pair], self.unit_kind[units]] == 0
        good &= answers.column.answer[row] == YES
        cover[units[good]] = np.minimum(cover[units[good]], pair[good])

    def _add_covered(self, outcome: IntColumn, units: npt.NDArray[np.intp], pair: IntColumn) -> None:
        """One outcome for each pair and set of remarks."""
        remarks = self._remarks(units.astype(np.int64), pair.astype(np.int64))
        key = pair.astype(np.int64) * 256 + remarks
        _, example, number = np.unique(key, return_index=True, return_inverse=True)
        own, bits = pair[example], remarks[example]
        rows, remark = np.nonzero(_unpacked(bits))
        code = np.array([CODE[c] for c in REMARKS], np.uint8)[remark]
        none = np.full(len(rows), np.nan)
        first = self.outcomes.add(
            np.full(len(own), Verdict.COVERED, np.uint8),
            self.outcomes.set_numbers(self.pairs.edition[own]),
            self.pairs.event[own],
            np.full(len(own), -1, np.int32),
            np.bincount(rows, minlength=len(own)),
            code,
            none,
            none,
        )
        outcome[units] = first + number.reshape(-1)

    def _remarks(self, unit: npt.NDArray[np.int64], pair: npt.NDArray[np.int64]) -> npt.NDArray[np.uint8]:
        remarks = self.pairs.place.remarks[pair] | self.pairs.people.remarks[pair]
        assumed = self.shared.kind_tests.kinds.count_assumed[self.unit_kind[unit]]
        for answers, own, row in self._cap_rows(unit, pair):
            blank = own[answers.tested[row] & assumed[own]]
            remarks[blank] |= REMARK_BIT["count-assumed"]
        return remarks

    # 7.4 Several papers cover together.

    def _cover_together(self, outcome: IntColumn) -> None:
        date_codes = [CODE[c] for c in TIME_CODES]
        qualified = self.shared.material.dates.qualified[self._pair_date]
        in_time = (self.pair_failing == 1 << DATE) & np.isin(self.pairs.date.code, date_codes) & ~qualified
        in_area = (self.pair_failing == 1 << PLACE) & np.isin(self.pairs.place.code, [CODE[c] for c in AREA_CODES])
        in_area &= self.pairs.place.more == 0
        for joinable, joint in ((in_time, self._joint_in_time), (in_area, self._joint_in_area)):
            weak_place = joint == self._joint_in_area
            partners = np.bincount(self.pairs.event[joinable], minlength=len(self.events))
            for event in np.flatnonzero(partners > 1).tolist():
                members = self._members(event)
                self._join(outcome, event, members[joinable[members]], joint, weak_place=weak_place)

    @cached_property
    def _pair_date(self) -> IntColumn:
        arrives = np.array([paper.kind == "cites-import-permit" for paper in self.shared.papers], bool)
        event = self.pairs.event
        return np.where(arrives[self.pairs.paper], self.events.arrival[event], self.events.date[event])

    def _members(self, event: int) -> npt.NDArray[np.int64]:
        return self.by_event[self.starts[event] : self.starts[event + 1]]

    def _join(self, outcome: IntColumn, event: int, members: npt.NDArray[np.int64], joint: Joint, *,
              weak_place: bool) -> None:  # fmt: skip
        """Join the members for the event's units that no paper covers; units with the same able members share a trial."""
        first, last = np.searchsorted(self.unit_event, (event, event + 1))
        units = np.arange(first, last)[outcome[first:last] < 0]
        if not len(units):
            return
        able = np.stack([self._is_able(units, int(member)) for member in members])
        patterns, number = np.unique(able, axis=1, return_inverse=True)
        for row, pattern in enumerate(patterns.T):
            needed = joint(members[pattern]) if pattern.sum() > 1 else ()
            if len(needed):
                bits = self._place_weaknesses(needed) if weak_place else np.uint8(0)
                self._add_joint(outcome, units[number.reshape(-1) == row], needed, bits)

    def _is_able(self, units: npt.NDArray[np.int64], pair: int) -> BoolColumn:
        """Units for which the pair's other tests (name, sex, stage, numbers) are all yes."""
        able = self.kind_table.failing[self.pairs.edition[pair], self.unit_kind[units]] == 0
        for answers, own, row in self._cap_rows(units, np.full(len(units), pair)):
            able[own] &= answers.column.answer[row] == YES
        return np.asarray(able)

    def _joint_in_time(self, members: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
        dates = self.shared.material.dates
        for date in dict.fromkeys(self._pair_date[members].tolist()):
            own = members[self._pair_date[members] == date]
            validities = [self.pairs.validities[int(self.pairs.paper[m])] for m in own]
            needed = joint_in_time(validities, (int(dates.earliest[date]), int(dates.latest[date])))
            if needed:
                return own[list(needed)]
        return members[:0]

    def _joint_in_area(self, members: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
        usable, tests = [], []
        for member in members.tolist():
            edition = self.pairs.editions[self.pairs.edition[member]]
            if len({(v.include_places, v.exclude_places) for v in edition.versions}) == 1:
                usable.append(member)
                tests.append(self._place_test(edition))
        place = int(self.events.place[self.pairs.event[members[0]]])
        needed = joint_in_area(tests, self.shared.grounds, place)
        return np.array([usable[n] for n in needed], np.int64)

    def _place_weaknesses(self, members: npt.NDArray[np.int64]) -> np.uint8:
        """Remarks on a place that only all members together cover: none of them said yes, so none has them."""
        place = self.events.place[self.pairs.event[members[:1]]]
        bits = np.uint8(0)
        for member in members.tolist():
            edition = self.pairs.editions[self.pairs.edition[member]]
            bits |= self._place_test(edition).weaknesses(place)[0]
        return bits

    def _place_test(self, edition: Edition) -> PlaceTest:
        """The place test of the first version of an edition: of its only one, or of several that list the same places."""
        optional = self.layer in PLACE_OPTIONAL
        return self.shared.paper_tests.place_test(edition.paper, edition.versions[0], place_optional=optional)

    def _add_joint(self, outcome: IntColumn, units: npt.NDArray[np.int64], members: npt.NDArray[np.int64],
                   weaknesses: np.uint8) -> None:  # fmt: skip
        bits = np.full(len(units), weaknesses, np.uint8)
        for member in members.tolist():
            bits |= self._remarks(units, np.full(len(units), member))
        editions = tuple(self.pairs.edition[members].tolist())
        event = int(self.pairs.event[members[0]])
        for value in np.unique(bits).tolist():
            findings = [Finding(code) for code in REMARKS if value & int(REMARK_BIT[code])]
            outcome[units[bits == value]] = self.outcomes.add_one(Verdict.COVERED, findings, editions, event)

    # 7.1 Not required, or nobody can tell.

    def _leave_out(self, outcome: IntColumn) -> None:
        required = self._required()[self.unit_event]
        open_units = outcome < 0
        for state, verdict, code in (
            (Required.NOT_REQUIRED, Verdict.NOT_REQUIRED, ""),
            (Required.UNKNOWN, Verdict.CANNOT_TELL, "requirement-unknown"),
            (Required.NO_RULE, Verdict.CANNOT_TELL, "no-rule"),
        ):
            units = np.flatnonzero(open_units & (required == state))
            if len(units):
                outcome[units] = self.outcomes.add_one(verdict, [Finding(code)] if code else [])

    def _required(self) -> npt.NDArray[np.uint8]:
        """Whether the layer is required at each event."""
        if self.shared.requirements.rules is None:
            return np.zeros(len(self.events), np.uint8)
        dates, places = self.shared.material.dates, self.shared.material.places
        known: dict[tuple[str, int], int] = {}
        for country, date in {(places.country[p], int(d)) for p, d in zip(self.events.place, self.events.date, strict=True)}:
            interval = (int(dates.earliest[date]), int(dates.latest[date])) if dates.reading[date] <= DateReading.VAGUE else None
            known[country, date] = requirement(self.shared.requirements, self.layer, country, interval)
        rows = zip(self.events.place.tolist(), self.events.date.tolist(), strict=True)
        return np.array([known[places.country[p], d] for p, d in rows], np.uint8)

    # 7.2 No paper.

    def _miss(self, outcome: IntColumn) -> None:
        linked = np.diff(self.starts)[self.unit_event] > 0
        units = np.flatnonzero((outcome < 0) & ~linked)
        if len(units):
            finding = Finding(self.shared.search_state.code)
            outcome[units] = self.outcomes.add_one(Verdict.MISSING, [finding])

    # 7.5 The paper that came nearest.

    def _come_nearest(self, outcome: IntColumn) -> None:
        units = np.flatnonzero(outcome < 0).astype(np.int32)
        if not len(units):
            return
        limits = np.array([a.limits for a in self.kind_answers], np.uint8)
        limits += self.is_capped
        limit = limits[self.pairs.edition]
        count = np.bitwise_count(self.pair_failing)
        best = rank_of(self.pair_no, self.pair_straddles, count)
        worst = np.where(limit > 0, rank_of(np.ones(len(best), bool), np.zeros(len(best), bool), count + limit), best)
        question = Question(units, self.unit_event, best, worst, self.by_event, self.starts, self._evaluate,
                            (self._date_miss, self._place_miss, self._number_miss))  # fmt: skip
        nearest = nearest_pairs(question)
        outcome[units] = self._add_nearest(nearest)

    def _evaluate(self, unit: IntColumn, pair: IntColumn) -> tuple[npt.NDArray[np.uint8], npt.NDArray[np.uint16]]:
        """Rank and failing tests of triples, looked up by the class of the pair and the answers to the kind."""
        kind_code = self._kind_codes[self._edition_row[pair] + self.unit_kind[unit]]
        known = self._pair_classes[2][pair] + kind_code
        rank, failing = self._rank_table[known], self._failing_table[known]
        for answers, own, row in self._cap_rows(unit, pair):
            answer = answers.column.answer[row]
            failing[own] |= (answer != YES).astype(np.uint16) << NUMBERS
            kind_no = (kind_code[own] >= 8) | (answer == NO)
            rank[own] = rank_of(self.pair_no[pair[own]] | kind_no, self.pair_straddles[pair[own]] & ~kind_no,
                                np.bitwise_count(failing[own]))  # fmt: skip
        return rank, failing

    @cached_property
    def _kind_codes(self) -> npt.NDArray[np.uint8]:
        """Failing bits of each edition and kind, and 8 for any no; flat, a row of kinds an edition."""
        return (self.kind_table.failing | self.kind_table.any_no.astype(np.uint8) << 3).reshape(-1)

    @cached_property
    def _edition_row(self) -> IntColumn:
        """Where the row of each pair's edition begins in ``_kind_codes``."""
        return (self.pairs.edition * len(self.shared.kind_tests.kinds)).astype(np.int32)

    @cached_property
    def _pair_classes(self) -> tuple[npt.NDArray[np.uint16], npt.NDArray[np.uint8], npt.NDArray[np.int32]]:
        """Failing bits and flags of each class of pairs, and for each pair where its class begins in the tables."""
        flags = self.pair_no.astype(np.uint8) | self.pair_straddles.astype(np.uint8) << 1
        classes, number = np.unique(self.pair_failing.astype(np.int32) * 4 + flags, return_inverse=True)
        return (classes // 4).astype(np.uint16), (classes % 4).astype(np.uint8), number.reshape(-1).astype(np.int32) * 16

    @cached_property
    def _failing_table(self) -> npt.NDArray[np.uint16]:
        return (self._pair_classes[0][:, None] | _KIND_BITS[np.arange(16) % 8]).reshape(-1)

    @cached_property
    def _rank_table(self) -> npt.NDArray[np.uint8]:
        flags, kind_no = self._pair_classes[1][:, None], np.arange(16) >= 8
        any_no = (flags & 1 > 0) | kind_no
        straddles = (flags & 2 > 0) & ~kind_no
        return rank_of(any_no, straddles, np.bitwise_count(self._failing_table).reshape(any_no.shape)).reshape(-1)

    def _date_miss(self, triples: Triples) -> FloatColumn:
        return _or_infinite(self.pairs.date.miss[triples.pair])

    def _place_miss(self, triples: Triples) -> FloatColumn:
        """Metres; far outside an area only those that a cheap bound leaves in the race are measured."""
        waiting = self._unmeasured[triples.pair]
        if waiting.any():
            pairs = np.unique(triples.pair[waiting])
            bound = self.pairs.place.miss.copy()
            bound[pairs] = self._by_area(pairs, exact=False)
            lowest = self._least_by_unit(triples, bound)
            self._measure(np.unique(triples.pair[bound[triples.pair] <= lowest[triples.unit]]))
            reached = np.where(self._unmeasured, np.inf, self.pairs.place.miss)
            ceiling = self._least_by_unit(triples, reached)
            self._measure(np.unique(triples.pair[bound[triples.pair] <= ceiling[triples.unit]]))
            miss = np.where(self._unmeasured, bound, self.pairs.place.miss)
        else:
            miss = self.pairs.place.miss
        return np.round(_or_infinite(miss[triples.pair]), 3)

    def _least_by_unit(self, triples: Triples, miss: FloatColumn) -> FloatColumn:
        least = np.full(len(self.unit_event), np.inf)
        np.minimum.at(least, triples.unit, _or_infinite(miss[triples.pair]))
        return least

    @cached_property
    def _unmeasured(self) -> BoolColumn:
        """Pairs far outside an area whose metres nobody has asked for yet."""
        flags = np.zeros(len(self.pairs), bool)
        flags[unmeasured(self.pairs.place)] = True
        return flags

    def _measure(self, pairs: IntColumn) -> None:
        """Fill in the metres of pairs that lie far outside an area."""
        waiting = pairs[self._unmeasured[pairs]]
        if len(waiting):
            metres = self._by_area(waiting, exact=True)
            self.pairs.place.measure[waiting] = self.pairs.place.miss[waiting] = metres
            self._unmeasured[waiting] = False

    def _by_area(self, pairs: IntColumn, *, exact: bool) -> FloatColumn:
        """Metres, or a cheap lower bound of them. Only single versions come here: joined ones are measured already."""
        metres = np.full(len(pairs), np.nan)
        place = self.events.place[self.pairs.event[pairs]]
        edition = self.pairs.edition[pairs]
        order = np.argsort(edition, kind="stable")
        parts = np.split(order, np.flatnonzero(np.diff(edition[order])) + 1) if len(order) else []
        tests = [self._place_test(self.pairs.editions[edition[own[0]]]) for own in parts]
        if exact:
            found = measure_all([(test, place[own]) for test, own in zip(tests, parts, strict=True)], self.shared.grounds)
        else:
            found = [test.at_least_m(place[own]) for test, own in zip(tests, parts, strict=True)]
        for own, values in zip(parts, found, strict=True):
            metres[own] = values
        return metres

    def _number_miss(self, triples: Triples) -> FloatColumn:
        miss = np.full(len(triples.unit), np.inf)
        for answers, own, row in self._cap_rows(triples.unit, triples.pair):
            miss[own] = _or_infinite(answers.column.miss[row])
        return miss

    def _add_nearest(self, nearest: Triples) -> IntColumn:
        """One outcome a unit, its findings test by test."""
        count = len(nearest.unit)
        self._measure(np.unique(nearest.pair))
        columns = self._failing_columns(nearest)
        counts = np.zeros(count, np.int64)
        for rows, column in columns:
            counts[rows] += 1
            counts[rows] += np.array([len(self.shared.more[m]) for m in column.more.tolist()], np.int64) if column.more.any() else 0
        start = np.cumsum(counts) - counts
        total = int(counts.sum())
        code, measure, against = np.zeros(total, np.uint8), np.full(total, np.nan), np.full(total, np.nan)
        place = start.copy()
        for rows, column in columns:
            at = place[rows]
            code[at], measure[at], against[at] = column.code, column.measure, column.against
            place[rows] += 1
            for row in np.flatnonzero(column.more).tolist():
                for finding in self.shared.more[int(column.more[row])]:
                    at_row = place[rows[row]]
                    code[at_row] = CODE[finding.code]
                    measure[at_row] = np.nan if finding.measure is None else finding.measure
                    against[at_row] = np.nan if finding.against is None else finding.against
                    place[rows[row]] += 1
        edition = self.pairs.edition[nearest.pair]
        first = self.outcomes.add(
            result_of(nearest.rank), self.outcomes.set_numbers(edition), self.pairs.event[nearest.pair],
            self.unit_kind[nearest.unit], counts, code, measure, against,
        )  # fmt: skip
        return np.arange(first, first + count, dtype=np.int32)

    def _failing_columns(self, nearest: Triples) -> list[tuple[npt.NDArray[np.intp], Column]]:
        """For each test, in order: the triples that it fails, and its answers to them."""
        found = []
        for test in (UNREAD, DATE, PLACE, TAXON, METHODS, PEOPLE, SEXES, STAGES, NUMBERS):
            rows = np.flatnonzero(nearest.failing & (1 << test))
            if len(rows):
                found.append((rows, self._column_of(test, nearest.take(rows))))
        return found

    def _column_of(self, test: int, triples: Triples) -> Column:
        pairs = self.pairs
        of_pair = {DATE: pairs.date, PLACE: pairs.place, METHODS: pairs.methods, PEOPLE: pairs.people}
        if test in of_pair:
            return of_pair[test].take(triples.pair)
        count = len(triples.unit)
        column = pairs.date.take(np.zeros(count, np.int64))
        if test == UNREAD:
            column.settle(np.arange(count), 1, "paper-unread", measure=np.nan, against=np.nan, miss=np.nan)
            column.more[:] = 0
        elif test == NUMBERS:
            for answers, own, row in self._cap_rows(triples.unit, triples.pair):
                column.put(own, answers.column.take(row))
        else:
            which = {TAXON: 0, SEXES: 1, STAGES: 2}[test]
            edition, kind = pairs.edition[triples.pair], self.unit_kind[triples.unit]
            for number in np.unique(edition).tolist():
                own = np.flatnonzero(edition == number)
                column.put(own, self.kind_answers[number].columns[which].take(kind[own]))
        return column


_KIND_BITS = np.array(
    [(f & 1) << TAXON | (f >> 1 & 1) << SEXES | (f >> 2 & 1) << STAGES for f in range(8)], np.uint16
)


def _years(days: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """Gregorian year of each day number, far off for open ends."""
    clipped = np.clip(days, 1, 3_652_059)
    years = (clipped - 719_163).astype("datetime64[D]").astype("datetime64[Y]").astype(np.int64) + 1970
    return np.where(days <= 0, -1, np.where(days > 3_652_059, 10_000, years))


def _or_infinite(miss: FloatColumn) -> FloatColumn:
    return np.where(np.isnan(miss), np.inf, miss)


def _packed(flags: npt.NDArray[np.bool_]) -> npt.NDArray[np.uint64]:
    """Flags of shape (n, m) as words of 64 along n, lowest bit first: shape (ceil(n / 64), m)."""
    words = (len(flags) + 63) // 64
    packed = np.zeros((words, flags.shape[1]), np.uint64)
    for row, flag in enumerate(flags):
        packed[row // 64] |= flag.astype(np.uint64) << np.uint64(row % 64)
    return packed


def _unpacked(bits: npt.NDArray[np.uint8]) -> npt.NDArray[np.bool_]:
    """The remark bits of each row, shape (n, number of remarks)."""
    return np.stack([bits & REMARK_BIT[code] != 0 for code in REMARKS], axis=1)
