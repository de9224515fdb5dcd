"""No paper covers: the findings of the one that came nearest (VERDICTS section 7.5)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from governance.engine.answers import NO, UNKNOWN, YES
from governance.engine.columns import Column, MoreFindings
from governance.engine.failing import (
    DATE,
    METHODS,
    NUMBERS,
    PEOPLE,
    PLACE,
    SEXES,
    STAGES,
    TAXON,
    TESTS,
    UNREAD,
    Failing,
)
from governance.engine.layer_case import LayerCase
from governance.engine.outcomes import FindingRows
from governance.engine.places import measure_all, unmeasured
from governance.engine.ranking import Question, Rank, Triples, nearest_pairs, rank_of, result_of
from governance.engine.tables import BoolColumn, ByteColumn, FloatColumn, IntColumn, Rows


class NearestPaper:
    """Finds for each unit that is still open the paper that came nearest, and writes its findings."""

    def __init__(self, case: LayerCase) -> None:
        self.case = case

    def find(self, outcome: IntColumn) -> None:
        """Settle every unit that is still open (-1); each must be linked to a paper at least."""
        units = np.flatnonzero(outcome < 0).astype(np.int32)
        if not len(units):
            return
        limits = np.array([a.limits for a in self.case.kind_answers], np.uint8)
        limits += self.case.is_capped
        limit = limits[self.case.pairs.edition]
        count = np.bitwise_count(self.case.pair_failing)
        best = rank_of(self.case.pair_no, self.case.pair_straddles, count)
        worst = np.where(limit > 0, rank_of(np.ones(len(best), bool), np.zeros(len(best), bool), count + limit), best)
        question = Question(
            units=units,
            unit_event=self.case.unit_event,
            best_rank=best,
            worst_rank=worst,
            by_event=self.case.by_event,
            starts=self.case.starts,
            evaluate=self._evaluate,
            misses=(self._date_miss, self._place_miss, self._number_miss),
        )
        outcome[units] = self._add_nearest(nearest_pairs(question))

    def _evaluate(self, unit: IntColumn, pair: IntColumn) -> tuple[Rank, Failing]:
        """Rank and failing tests of triples, looked up by the class of the pair and the answers to the kind."""
        kind_code = self._kind_codes[self._edition_row[pair] + self.case.unit_kind[unit]]
        known = self._pair_classes.start[pair] + kind_code
        rank, failing = self._rank_table[known], self._failing_table[known]
        for answers, own, row in self.case.caps.rows_of(unit, pair):
            answer = answers.column.answer[row]
            failing[own] |= (answer != YES).astype(np.uint16) << np.uint16(NUMBERS)
            kind_no = (kind_code[own] >= 8) | (answer == NO)
            any_no = self.case.pair_no[pair[own]] | kind_no
            straddles = self.case.pair_straddles[pair[own]] & ~kind_no
            rank[own] = rank_of(any_no, straddles, np.bitwise_count(failing[own]))
        return rank, failing

    @cached_property
    def _kind_codes(self) -> ByteColumn:
        """Failing bits of each edition and kind, and 8 for any no; flat, a row of kinds an edition."""
        any_no = self.case.kind_table.any_no.astype(np.uint8) << np.uint8(3)
        return np.asarray((self.case.kind_table.failing | any_no).reshape(-1), np.uint8)

    @cached_property
    def _edition_row(self) -> IntColumn:
        """Where the row of each pair's edition begins in ``_kind_codes``."""
        return (self.case.pairs.edition * len(self.case.shared.kind_tests.kinds)).astype(np.int32)

    @cached_property
    def _pair_classes(self) -> _PairClasses:
        """Few classes for many pairs: their ranks are looked up rather than reckoned."""
        flags = self.case.pair_no.astype(np.uint8) | self.case.pair_straddles.astype(np.uint8) << 1
        classes, number = np.unique(self.case.pair_failing.astype(np.int32) * 4 + flags, return_inverse=True)
        return _PairClasses(
            failing=(classes // 4).astype(np.uint16),
            flags=(classes % 4).astype(np.uint8),
            start=number.reshape(-1).astype(np.int32) * 16,
        )

    @cached_property
    def _failing_table(self) -> Failing:
        """Failing bits by class of the pair and code of the kind, flat, 16 codes a class."""
        return np.asarray((self._pair_classes.failing[:, None] | _KIND_BITS[np.arange(16) % 8]).reshape(-1), np.uint16)

    @cached_property
    def _rank_table(self) -> Rank:
        """Ranks, laid out as ``_failing_table``."""
        flags, kind_no = self._pair_classes.flags[:, None], np.arange(16) >= 8
        any_no = (flags & 1 > 0) | kind_no
        straddles = (flags & 2 > 0) & ~kind_no
        return rank_of(any_no, straddles, np.bitwise_count(self._failing_table).reshape(any_no.shape)).reshape(-1)

    def _date_miss(self, triples: Triples) -> FloatColumn:
        """Days, infinite where there is no number of them."""
        return _or_infinite(self.case.pairs.date.miss[triples.pair])

    def _place_miss(self, triples: Triples) -> FloatColumn:
        """Metres; far outside an area only those that a cheap bound leaves in the race are measured."""
        waiting = self._unmeasured[triples.pair]
        if waiting.any():
            pairs = np.unique(triples.pair[waiting])
            bound = self.case.pairs.place.miss.copy()
            bound[pairs] = self._by_area(pairs, exact=False)
            lowest = self._least_by_unit(triples, bound)
            self._measure(np.unique(triples.pair[bound[triples.pair] <= lowest[triples.unit]]))
            reached = np.where(self._unmeasured, np.inf, self.case.pairs.place.miss)
            ceiling = self._least_by_unit(triples, reached)
            self._measure(np.unique(triples.pair[bound[triples.pair] <= ceiling[triples.unit]]))
            miss = np.where(self._unmeasured, bound, self.case.pairs.place.miss)
        else:
            miss = self.case.pairs.place.miss
        return np.round(_or_infinite(miss[triples.pair]), 3)

    def _least_by_unit(self, triples: Triples, miss: FloatColumn) -> FloatColumn:
        """The least miss among the triples of each unit; miss is by pair."""
        least = np.full(len(self.case.unit_event), np.inf)
        np.minimum.at(least, triples.unit, _or_infinite(miss[triples.pair]))
        return least

    @cached_property
    def _unmeasured(self) -> BoolColumn:
        """Pairs far outside an area whose metres nobody has asked for yet."""
        flags = np.zeros(len(self.case.pairs), bool)
        flags[unmeasured(self.case.pairs.place)] = True
        return flags

    def _measure(self, pairs: Rows) -> None:
        """Fill in the metres of pairs that lie far outside an area."""
        waiting = pairs[self._unmeasured[pairs]]
        if len(waiting):
            metres = self._by_area(waiting, exact=True)
            self.case.pairs.place.measure[waiting] = self.case.pairs.place.miss[waiting] = metres
            self._unmeasured[waiting] = False

    def _by_area(self, pairs: Rows, *, exact: bool) -> FloatColumn:
        """Metres, or a cheap lower bound of them. Only single versions come here: joined ones are measured already."""
        metres = np.full(len(pairs), np.nan)
        place = self.case.events.place[self.case.pairs.event[pairs]]
        edition = self.case.pairs.edition[pairs]
        order = np.argsort(edition, kind="stable")
        parts = np.split(order, np.flatnonzero(np.diff(edition[order])) + 1) if len(order) else []
        tests = [self.case.place_test(self.case.pairs.editions[edition[own[0]]]) for own in parts]
        if exact:
            requests = [(test, place[own]) for test, own in zip(tests, parts, strict=True)]
            found = measure_all(requests, self.case.shared.grounds)
        else:
            found = [test.at_least_m(place[own]) for test, own in zip(tests, parts, strict=True)]
        for own, values in zip(parts, found, strict=True):
            metres[own] = values
        return metres

    def _number_miss(self, triples: Triples) -> FloatColumn:
        """Individuals over the limit, infinite where the paper has no cap or there is no bound."""
        miss = np.full(len(triples.unit), np.inf)
        for answers, own, row in self.case.caps.rows_of(triples.unit, triples.pair):
            miss[own] = _or_infinite(answers.column.miss[row])
        return miss

    def _add_nearest(self, nearest: Triples) -> IntColumn:
        """One outcome a unit, its findings test by test; returns their numbers."""
        count = len(nearest.unit)
        self._measure(np.unique(nearest.pair))
        findings = _write_out(self._failing_columns(nearest), count, self.case.shared.more)
        edition = self.case.pairs.edition[nearest.pair]
        first = self.case.outcomes.add(
            result_of(nearest.rank),
            self.case.outcomes.set_numbers(edition),
            self.case.pairs.event[nearest.pair],
            self.case.unit_kind[nearest.unit],
            findings,
        )
        return np.arange(first, first + count, dtype=np.int32)

    def _failing_columns(self, nearest: Triples) -> list[tuple[Rows, Column]]:
        """For each test, in order: the triples that it fails, and its answers to them."""
        found = []
        for test in TESTS:
            rows = np.flatnonzero(nearest.failing & (1 << test))
            if len(rows):
                found.append((rows, self._column_of(test, nearest.take(rows))))
        return found

    def _column_of(self, test: int, triples: Triples) -> Column:
        """The answers of one test to the triples."""
        pairs = self.case.pairs
        of_pair = {DATE: pairs.date, PLACE: pairs.place, METHODS: pairs.methods, PEOPLE: pairs.people}
        if test in of_pair:
            return of_pair[test].take(triples.pair)
        count = len(triples.unit)
        column = pairs.date.take(np.zeros(count, np.int64))
        if test == UNREAD:
            column.settle(np.arange(count), UNKNOWN, "paper-unread", measure=np.nan, against=np.nan, miss=np.nan)
            column.more[:] = 0
        elif test == NUMBERS:
            for answers, own, row in self.case.caps.rows_of(triples.unit, triples.pair):
                column.put(own, answers.column.take(row))
        else:
            which = {TAXON: 0, SEXES: 1, STAGES: 2}[test]
            edition, kind = pairs.edition[triples.pair], self.case.unit_kind[triples.unit]
            for number in np.unique(edition).tolist():
                own = np.flatnonzero(edition == number)
                column.put(own, self.case.kind_answers[number].columns[which].take(kind[own]))
        return column


def _write_out(columns: Sequence[tuple[Rows, Column]], count: int, more: MoreFindings) -> FindingRows:
    """The findings of so many outcomes, from columns in the order of the tests: the rows that fail each, and how."""
    counts = np.zeros(count, np.int64)
    for rows, column in columns:
        counts[rows] += 1
        if column.more.any():
            counts[rows] += np.array([len(more[m]) for m in column.more.tolist()], np.int64)
    total = int(counts.sum())
    written = FindingRows(counts, np.zeros(total, np.uint8), np.full(total, np.nan), np.full(total, np.nan))
    place = np.cumsum(counts) - counts
    for rows, column in columns:
        at = place[rows]
        written.code[at], written.measure[at], written.against[at] = column.code, column.measure, column.against
        place[rows] += 1
        for row in np.flatnonzero(column.more).tolist():
            further = more[int(column.more[row])]
            first = int(place[rows[row]])
            for number, finding in enumerate(further, first):
                written.put(number, finding)
            place[rows[row]] += len(further)
    return written


@dataclass(frozen=True)
class _PairClasses:
    """Pairs that are alike for the rank.

    failing, flags: of each class: the bits of the tests that are not yes; 1 for any no, 2 for a straddling date as the
    only no. start: of each pair, where the rows of its class begin in the tables.
    """

    failing: Failing
    flags: ByteColumn
    start: IntColumn


_KIND_BITS = np.array([(f & 1) << TAXON | (f >> 1 & 1) << SEXES | (f >> 2 & 1) << STAGES for f in range(8)], np.uint16)
"""From the bits of ``KindTable.failing`` to those of the tests."""


def _or_infinite(miss: FloatColumn) -> FloatColumn:
    """What has no measure comes last."""
    return np.where(np.isnan(miss), np.inf, miss)
