"""The paper that came nearest, for every unit that no paper covers (VERDICTS section 7.5).

Units of an event meet its papers level by level, best possible rank first; a unit stops as soon as no later level can
do as well. The rank is the result and the number of tests that are not yes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from governance.engine.failing import Failing
from governance.engine.tables import BoolColumn, ByteColumn, FloatColumn, IntColumn, Rows, Verdict

_TRIPLES_AT_ONCE = 300_000
_COUNTS = 16
_FAR = np.iinfo(np.int32).max
Rank = npt.NDArray[np.uint8]
"""Result times 16 and the number of tests that are not yes: the least is the nearest."""


def rank_of(any_no: BoolColumn, straddles: BoolColumn, count: ByteColumn) -> Rank:
    """Result first (cannot tell, straddles, outside), then the number of tests that are not yes.

    Args:
        any_no: a test says no.
        straddles: the only no is a straddling date.
        count: tests that are not yes, below 16. All three of one shape, which is that of the rank.
    """
    of_no = np.where(straddles, int(Verdict.STRADDLES), int(Verdict.OUTSIDE))
    result = np.where(any_no, of_no, int(Verdict.CANNOT_TELL))
    return (result * _COUNTS + count).astype(np.uint8)


def result_of(rank: Rank) -> ByteColumn:
    """The result in a rank, as a verdict."""
    return np.asarray(rank // _COUNTS, np.uint8)


@dataclass(frozen=True)
class Triples:
    """Units with a linked pair each, shape (n,): its rank and the bits of the tests that are not yes.

    A *triple* is a specimen's event, its kind and a paper. unit, pair: int32 row numbers of the layer.
    """

    unit: IntColumn
    pair: IntColumn
    rank: Rank
    failing: Failing

    def take(self, rows: Rows | BoolColumn) -> Triples:
        """Some rows, by number or flag."""
        return Triples(self.unit[rows], self.pair[rows], self.rank[rows], self.failing[rows])

    @classmethod
    def join(cls, parts: Sequence[Triples]) -> Triples:
        """The triples of all parts, one after the other; at least one part."""
        return cls(
            *(np.concatenate([getattr(part, name) for part in parts]) for name in ("unit", "pair", "rank", "failing"))
        )


@dataclass(frozen=True)
class Question:
    """What the search needs.

    units: the units to place, ascending; unit_event: the event of each unit of the layer. best_rank, worst_rank: of
    each pair, over all kinds that could come. by_event: pair numbers ordered by event and paper, starts: where each
    event begins. evaluate: (unit, pair) -> rank and failing bits. misses: in the order of the tests, by how much each
    triple fails; infinite where it has no measure.
    """

    units: IntColumn
    unit_event: IntColumn
    best_rank: Rank
    worst_rank: Rank
    by_event: IntColumn
    starts: IntColumn
    evaluate: Callable[[IntColumn, IntColumn], tuple[Rank, Failing]]
    misses: tuple[Callable[[Triples], FloatColumn], ...]


def nearest_pairs(question: Question) -> Triples:
    """One triple a unit, in the order of the units; every unit must be linked to a paper at least.

    The best result, then the fewest tests that are not yes, then the smallest miss, then the order of the file.
    """
    chosen = _choose(_best_ranked(question), question)
    return chosen.take(np.argsort(chosen.unit))


def _best_ranked(question: Question) -> Triples:
    """All triples that share the best rank of their unit."""
    best = np.full(len(question.unit_event), 255, np.uint8)
    ceiling = _ceilings(question)
    event_of_place = np.repeat(np.arange(len(question.starts) - 1), np.diff(question.starts))
    rank_of_place = question.best_rank[question.by_event]
    matters = rank_of_place <= ceiling[event_of_place]
    active = question.units
    found: list[Triples] = []
    for level in np.unique(rank_of_place[matters]).tolist():
        active = active[best[active] >= level]
        here = np.flatnonzero(matters & (rank_of_place == level))
        starts = np.searchsorted(event_of_place[here], np.arange(len(question.starts)))
        for unit, pair in _expand(active, question.unit_event, starts, question.by_event[here]):
            rank, failing = question.evaluate(unit, pair)
            _lower(best, unit, rank)
            found.append(Triples(unit, pair, rank, failing).take(rank == best[unit]))
    every = Triples.join(found)
    return every.take(every.rank == best[every.unit])


def _ceilings(question: Question) -> Rank:
    """For each event the worst rank that its best pair can sink to: pairs that cannot reach it never matter."""
    ranks = question.worst_rank[question.by_event]
    ceiling = np.full(len(question.starts) - 1, 255, np.uint8)
    filled = np.flatnonzero(np.diff(question.starts))
    ceiling[filled] = np.minimum.reduceat(ranks, question.starts[filled])
    return ceiling


def _lower(best: Rank, unit: IntColumn, rank: Rank) -> None:
    """Lower the best rank of units that stand in runs."""
    starts = np.flatnonzero(np.diff(unit, prepend=-1))
    own = unit[starts]
    best[own] = np.minimum(best[own], np.minimum.reduceat(rank, starts))


def _expand(
    units: IntColumn, unit_event: IntColumn, starts: IntColumn, pairs: IntColumn
) -> Iterator[tuple[IntColumn, IntColumn]]:
    """Every unit with every pair of its event, in slices of bounded size, each unit whole and in a run."""
    event = unit_event[units]
    counts = starts[event + 1] - starts[event]
    filled = counts > 0
    units, event, counts = units[filled], event[filled], counts[filled]
    ends = np.cumsum(counts)
    first = 0
    while first < len(units):
        done = ends[first - 1] if first else 0
        last = max(int(np.searchsorted(ends, done + _TRIPLES_AT_ONCE, side="right")), first + 1)
        own = counts[first:last]
        shift = (starts[event[first:last]] - (np.cumsum(own) - own)).astype(np.int32)
        place = np.repeat(shift, own)
        place += np.arange(len(place), dtype=np.int32)
        yield np.repeat(units[first:last], own), pairs[place]
        first = last


def _choose(tied: Triples, question: Question) -> Triples:
    """Of those tied the first in the file, unless another fails the same tests by less."""
    count = len(question.unit_event)
    first = _least(tied.unit, tied.pair, count)
    is_first = tied.pair == first[tied.unit]
    tests = np.zeros(count, np.uint16)
    tests[tied.unit[is_first]] = tied.failing[is_first]
    same = tied.take(tied.failing == tests[tied.unit])
    contested = np.bincount(same.unit, minlength=count)[same.unit] > 1
    rivals = same.take(contested)
    for miss_of in question.misses if len(rivals.unit) else ():
        miss = miss_of(rivals)
        least = np.full(count, np.inf)
        np.minimum.at(least, rivals.unit, miss)
        rivals = rivals.take(miss <= least[rivals.unit])
    winners = rivals.take(rivals.pair == _least(rivals.unit, rivals.pair, count)[rivals.unit])
    return Triples.join([same.take(~contested), winners])


def _least(unit: IntColumn, pair: IntColumn, count: int) -> IntColumn:
    """For each unit the least pair number: pairs are numbered by paper, in the order of the file."""
    least = np.full(count, _FAR, np.int32)
    np.minimum.at(least, unit, pair)
    return least
