"""How many specimens are asked for under each paper: what its limits are held against."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

import numpy as np

from governance.engine.tables import BoolColumn, IntColumn, LongColumn
from governance.engine.uses.inherited import Inherited

Bounds = tuple[int, int]
"""Least and most individuals."""

_NOTHING: Bounds = (0, 0)


def specimens_under(
    inherited: Inherited, asked: IntColumn, papers: frozenset[int] | None = None
) -> Mapping[int, Bounds]:
    """By row of a paper, how many individuals of what is asked for it bears on: least and most.

    Each is counted once, whether it is asked for itself, by parts of it, or in pools: what counts is the row furthest
    back on which the paper bears by itself (its original). A part counts as many as are recorded of it, and not more
    than its original; a pool counts all its originals, each of which gave at least one.

    papers: those that have a limit, so that parts and pools under others alone need no counting; None: all.
    """
    is_asked = np.zeros(len(inherited.of_row), bool)
    is_asked[asked] = True
    is_whole = np.ones(len(inherited.of_row), bool)
    is_whole[np.fromiter(inherited.derived(), np.int64)] = False
    whole, taken = np.flatnonzero(is_asked & is_whole), np.flatnonzero(is_asked & ~is_whole)
    least, most = _bounds(inherited)
    counts = _of_whole(inherited, whole, least, most)
    for (paper, original), shares in _shares(
        inherited, _limited(inherited, taken, papers), is_asked, least, most
    ).items():
        low = max(one for one, _ in shares)
        high = max(min(sum(other for _, other in shares), int(most[original])), low)
        counts[paper] = _sum(counts.get(paper, _NOTHING), (low, high))
    return counts


def _limited(inherited: Inherited, rows: IntColumn, papers: frozenset[int] | None) -> IntColumn:
    if papers is None:
        return rows
    has_limit = np.array([not papers.isdisjoint(key.papers) for key in inherited.keys], bool)
    limited: IntColumn = rows[has_limit[inherited.of_row[rows]]]
    return limited


def _sum(one: Bounds, other: Bounds) -> Bounds:
    return one[0] + other[0], one[1] + other[1]


def _bounds(inherited: Inherited) -> tuple[LongColumn, LongColumn]:
    """One each, where nothing is known of numbers."""
    least, most = inherited.holding.least, inherited.holding.most
    ones = np.ones(len(inherited.of_row), np.int64)
    return (ones if least is None else least), (ones if most is None else most)


def _of_whole(inherited: Inherited, rows: IntColumn, least: LongColumn, most: LongColumn) -> dict[int, Bounds]:
    """Of rows that come from nothing else: sums by case, then by paper."""
    cases, size = inherited.of_row[rows], len(inherited.keys)
    lows, highs = np.zeros(size, np.int64), np.zeros(size, np.int64)
    np.add.at(lows, cases, least[rows])
    np.add.at(highs, cases, most[rows])
    counts: dict[int, Bounds] = {}
    for case in np.unique(cases).tolist():
        for paper in inherited.keys[case].papers:
            counts[paper] = _sum(counts.get(paper, _NOTHING), (int(lows[case]), int(highs[case])))
    return counts


def _shares(
    inherited: Inherited, rows: IntColumn, is_asked: BoolColumn, least: LongColumn, most: LongColumn
) -> Mapping[tuple[int, int], list[Bounds]]:
    """By paper and original, what parts and pools take of it; nothing more where it is asked for itself."""
    found: dict[tuple[int, int], list[Bounds]] = defaultdict(list)
    for row in rows.tolist():
        is_part = all(len(inherited.sources(one)) <= 1 for one in inherited.reached(row))
        for paper, original in originals(inherited, row):
            if row == original or (is_part and not is_asked[original]):
                found[paper, original].append((int(least[row]), int(most[row])))
            elif not is_asked[original]:
                found[paper, original].append((1, int(most[original])))
    return found


def originals(inherited: Inherited, row: int) -> Iterator[tuple[int, int]]:
    """Papers and the originals of a row under them. Of a circle in the records its first row stands for all."""
    reached = sorted(inherited.reached(row))
    for one in reached:
        beyond = [other for other in inherited.reached(one) if other != one]
        beyond = [other for other in beyond if other < one or one not in inherited.reached(other)]
        behind = frozenset[int]().union(*(inherited.own_papers(other) for other in beyond))
        for paper in inherited.own_papers(one) - behind:
            yield paper, one
