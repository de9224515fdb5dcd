"""Limits on individuals for all papers of a layer: which lots each paper's caps count, and what they answer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from governance.engine.answers import NO, YES, and_
from governance.engine.caps import Lots, judge_caps
from governance.engine.columns import Column, join_versions, yes
from governance.engine.tables import (
    CODE,
    CODES,
    OPEN_END,
    OPEN_START,
    BoolColumn,
    DateReading,
    IntColumn,
    LongColumn,
    Rows,
)

if TYPE_CHECKING:
    from governance.engine.layer_case import LayerCase


@dataclass(frozen=True)
class CapAnswers:
    """One paper's caps against the units linked to it.

    units: shape (n,), ascending. column: the answers, shape (n,). tested: some cap counts the unit.
    """

    units: Rows
    column: Column
    tested: BoolColumn


class CapBook:
    """The caps of a layer's papers, each paper counted once, when first asked for."""

    def __init__(self, case: LayerCase) -> None:
        self.case = case

    @cached_property
    def answers(self) -> dict[int, CapAnswers]:
        """By paper, in the order of the file; papers without a cap are left out."""
        capped = {e.paper for e, capped in zip(self.case.pairs.editions, self.case.is_capped, strict=True) if capped}
        return {paper: self._judge_caps(paper) for paper in sorted(capped)}

    def _judge_caps(self, paper: int) -> CapAnswers:
        """All caps of the paper count all its lots; the versions that a date touches then join as in any test."""
        case = self.case
        units, pair = case.units_of(np.flatnonzero(case.pairs.paper == paper))
        lots = self.lots(units, pair, case.shared.papers[paper].kind)
        edition = case.pairs.edition[pair]
        caps_of_versions = {v.caps for n in np.unique(edition) for v in case.pairs.editions[n].versions}
        answers = {
            caps: judge_caps(list(caps), lots, case.shared.classification, case.shared.more)
            for caps in caps_of_versions
        }
        column, tested = yes(len(lots)), np.zeros(len(lots), bool)
        for number in np.unique(edition).tolist():
            own = np.flatnonzero(edition == number)
            of_versions = [answers[v.caps] for v in case.pairs.editions[number].versions]
            columns = [answer.take(own) for answer, _ in of_versions]
            is_run = case.pairs.editions[number].is_run
            column.put(own, join_versions(columns, is_run=is_run, more=case.shared.more, codes=CODES))
            tested[own] = np.logical_or.reduce([counted[own] for _, counted in of_versions])
        return CapAnswers(units, column, tested)

    def lots(self, units: Rows, pair: Rows, paper_kind: str) -> Lots:
        """The units of a paper as lots, and which of them its date, place and taxa count."""
        pairs, events = self.case.pairs, self.case.events
        event, kind = self.case.unit_event[units], self.case.unit_kind[units]
        earliest, latest = self._days(events.date_for(paper_kind)[event])
        taxon_answer = np.stack([a.taxon.answer for a in self.case.kind_answers])[pairs.edition[pair], kind]
        straddling = pairs.date.code[pair] == CODE["straddles"]
        date_no = (pairs.date.answer[pair] == NO) & ~straddling
        place = pairs.place.answer[pair]
        return Lots(
            taxon=self.case.shared.kind_tests.kinds.taxon[kind],
            earliest=earliest,
            latest=latest,
            first_year=_years(earliest),
            last_year=_years(latest),
            site=self._sites[0][events.place[event]],
            same_site=self._sites[1],
            event=events.event[event],
            low=self.case.low[units],
            high=self.case.high[units],
            certain=and_(pairs.date.answer[pair], place, taxon_answer) == YES,
            possible=~date_no & (place != NO) & (taxon_answer != NO),
        )

    def _days(self, row: IntColumn) -> tuple[LongColumn, LongColumn]:
        """First and last day of each date, wide open where it has no interval."""
        dates = self.case.shared.material.dates
        known = np.isin(dates.reading[row], (DateReading.RUN, DateReading.VAGUE))
        earliest = np.where(known, dates.earliest[row], OPEN_START).astype(np.int64)
        latest = np.where(known, dates.latest[row], OPEN_END).astype(np.int64)
        return earliest, latest

    @cached_property
    def _sites(self) -> tuple[IntColumn, list[Rows]]:
        """For each place the number of its set of site keys, -1 blank; for each number those that share a key."""
        numbers: dict[frozenset[str], int] = {}
        column = [numbers.setdefault(keys, len(numbers)) if keys else -1 for keys in self.case.shared.grounds.sites]
        holders: dict[str, list[int]] = {}
        for keys, number in numbers.items():
            for key in keys:
                holders.setdefault(key, []).append(number)
        same: list[Rows] = [np.unique([n for key in keys for n in holders[key]]) for keys in numbers]
        return np.array(column, np.int32), same

    def rows_of(self, unit: Rows, pair: Rows) -> list[tuple[CapAnswers, Rows, Rows]]:
        """For each capped paper: its answers, which of the triples are its, and their rows in the answers."""
        found = []
        paper = self.case.pairs.paper[pair]
        for number, answers in self.answers.items():
            own = np.flatnonzero(paper == number)
            if len(own):
                found.append((answers, own, np.searchsorted(answers.units, unit[own])))
        return found


_FIRST_DAY, _LAST_DAY = date.min.toordinal(), date.max.toordinal()
_UNIX_EPOCH = date(1970, 1, 1).toordinal()


def _years(days: LongColumn) -> LongColumn:
    """Gregorian year of each day number, far off for open ends."""
    clipped = np.clip(days, _FIRST_DAY, _LAST_DAY)
    years = (clipped - _UNIX_EPOCH).astype("datetime64[D]").astype("datetime64[Y]").astype(np.int64) + 1970
    return np.where(days < _FIRST_DAY, -1, np.where(days > _LAST_DAY, date.max.year + 1, years))
