"""The paper that came nearest, for every unit that no paper covers (VERDICTS section 7.5).

Units of an event meet its papers level by level, best possible rank first; a unit stops as soon as no later level can
do as well. The rank is the result and the number of tests that are not yes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from governance.engine.tables import FloatColumn, IntColumn, Verdict

_TRIPLES_AT_ONCE = 4_000_000
_COUNTS = 16
Rank = npt.NDArray[np.uint8]
Places = npt.NDArray[np.int64]


def rank_of(any_no: npt.NDArray[np.bool_], straddles: npt.NDArray[np.bool_], count: npt.NDArray[np.uint8]) -> Rank:
    """Result first (cannot tell, straddles, outside), then the number of tests that are not yes."""
    result = np.where(any_no, np.where(straddles, int(Verdict.STRADDLES), int(Verdict.OUTSIDE)), int(Verdict.CANNOT_TELL))
    return (result * _COUNTS + count).astype(np.uint8)


def result_of(rank: Rank) -> npt.NDArray[np.uint8]:
    return np.asarray(rank // _COUNTS, np.uint8)


@dataclass(frozen=True)
class Triples:
    """Pairs of a unit and a linked pair, with their rank and the bits of the tests that are not yes."""

    unit: Places
    pair: Places
    rank: Rank
    failing: npt.NDArray[np.uint16]

    def take(self, rows: npt.NDArray[np.intp] | npt.NDArray[np.bool_]) -> Triples:
        return Triples(self.unit[rows], self.pair[rows], self.rank[rows], self.failing[rows])


@dataclass(frozen=True)
class Question:
    """What the search needs.

    units: the units to place, ascending; unit_event: the event of each unit of the layer. best_rank, worst_rank: of
    each pair, over all kinds that could come. by_event: pair numbers ordered by event and paper, starts: where each
    event begins. evaluate: (unit, pair) -> rank and failing bits. misses: in the order of the tests, by how much each
    triple fails; infinite where it has no measure.
    """

    units: Places
    unit_event: IntColumn
    best_rank: Rank
    worst_rank: Rank
    by_event: Places
    starts: Places
    evaluate: Callable[[Places, Places], tuple[Rank, npt.NDArray[np.uint16]]]
    misses: tuple[Callable[[Triples], FloatColumn], ...]


def nearest_pairs(question: Question) -> Triples:
    """One triple a unit, in the order of the units; every unit must be linked to a paper at least."""
    tied = _best_ranked(question)
    return _choose(tied, question)


def _best_ranked(question: Question) -> Triples:
    """All triples that share the best rank of their unit, by unit and paper."""
    best = np.full(len(question.unit_event), 255, np.uint8)
    ceiling = _ceilings(question)
    event_of_place = np.repeat(np.arange(len(question.starts) - 1), np.diff(question.starts))
    rank_of_place = question.best_rank[question.by_event]
    active = question.units
    found: list[Triples] = []
    for level in np.unique(rank_of_place).tolist():
        active = active[best[active] >= level]
        here = np.flatnonzero((rank_of_place == level) & (ceiling[event_of_place] >= level))
        starts = np.searchsorted(event_of_place[here], np.arange(len(question.starts)))
        for unit, place in _expand(active, question.unit_event, starts, here):
            pair = question.by_event[place]
            rank, failing = question.evaluate(unit, pair)
            _lower(best, unit, rank)
            found.append(Triples(unit, pair, rank, failing).take(rank == best[unit]))
    every = Triples(*(np.concatenate([getattr(t, name) for t in found]) for name in ("unit", "pair", "rank", "failing")))
    tied = every.take(every.rank == best[every.unit])
    return tied.take(np.lexsort((tied.pair, tied.unit)))


def _ceilings(question: Question) -> Rank:
    """For each event the worst rank that its best pair can sink to: pairs that cannot reach it never matter."""
    ranks = question.worst_rank[question.by_event]
    ceiling = np.full(len(question.starts) - 1, 255, np.uint8)
    filled = np.flatnonzero(np.diff(question.starts))
    if len(filled):
        ceiling[filled] = np.minimum.reduceat(ranks, question.starts[filled])
    return ceiling


def _lower(best: Rank, unit: Places, rank: Rank) -> None:
    """Lower the best rank of units that stand in runs."""
    starts = np.flatnonzero(_begins(unit))
    lowest = np.minimum.reduceat(rank, starts)
    best[unit[starts]] = np.minimum(best[unit[starts]], lowest)


def _expand(units: Places, unit_event: IntColumn, starts: Places, places: Places) -> Iterator[tuple[Places, Places]]:
    """Every unit with every place of its event, in slices of bounded size, each unit whole."""
    event = unit_event[units]
    counts = starts[event + 1] - starts[event]
    units, event, counts = units[counts > 0], event[counts > 0], counts[counts > 0]
    ends = np.cumsum(counts)
    first = 0
    while first < len(units):
        done = ends[first - 1] if first else 0
        last = max(int(np.searchsorted(ends, done + _TRIPLES_AT_ONCE, side="right")), first + 1)
        own = counts[first:last]
        unit = np.repeat(units[first:last], own)
        offset = np.arange(int(own.sum())) - np.repeat(np.cumsum(own) - own, own)
        yield unit, places[np.repeat(starts[event[first:last]], own) + offset]
        first = last


def _choose(tied: Triples, question: Question) -> Triples:
    """Of those tied the first in the file, unless another fails the same tests by less."""
    first = _begins(tied.unit)
    group = np.cumsum(first) - 1
    tied, group = _keep(tied, group, tied.failing == tied.failing[np.flatnonzero(first)][group])
    contested = np.bincount(group)[group] > 1 if len(group) else np.zeros(0, bool)
    settled, rivals = tied.take(~contested), tied.take(contested)
    if len(rivals.unit):
        rivals = _least_miss(rivals, question)
    joined = Triples(*(np.concatenate([getattr(settled, n), getattr(rivals, n)])
                       for n in ("unit", "pair", "rank", "failing")))  # fmt: skip
    return joined.take(np.argsort(joined.unit, kind="stable"))


def _keep(triples: Triples, group: npt.NDArray[np.intp], flags: npt.NDArray[np.bool_]) -> tuple[Triples, npt.NDArray[np.intp]]:
    return triples.take(flags), group[flags]


def _least_miss(rivals: Triples, question: Question) -> Triples:
    for miss_of in question.misses:
        miss = miss_of(rivals)
        starts = np.flatnonzero(_begins(rivals.unit))
        group = np.repeat(np.arange(len(starts)), np.diff([*starts, len(rivals.unit)]))
        least = np.minimum.reduceat(miss, starts)[group]
        rivals = rivals.take(miss <= least)
    return rivals.take(_begins(rivals.unit))


def _begins(unit: Places) -> npt.NDArray[np.bool_]:
    """Where a run of equal units begins."""
    begins = np.ones(len(unit), bool)
    begins[1:] = unit[1:] != unit[:-1]
    return begins
