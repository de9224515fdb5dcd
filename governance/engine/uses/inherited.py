"""What bears on each specimen: by itself, and by all that it was taken from or pooled of.

Distinct cases first (the papers that bear, the verdicts, whether listed), then one gather per specimen.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from governance.engine.tables import NONE, IntColumn, Verdict
from governance.engine.uses.kinds import Listed
from governance.engine.uses.tables import Holding


@dataclass(frozen=True)
class Key:
    """What decides a case. papers: all that bear. verdicts: of the row and of all that it comes from. listed: the
    strictest of ``Listed``. bases: of the row, and of each that it comes from, the papers that bear; the smallest sets
    alone: where one holds no paper that is heard, a part of the material goes without terms."""

    papers: frozenset[int]
    verdicts: frozenset[int]
    listed: int
    bases: frozenset[frozenset[int]]


_EMPTY: frozenset[int] = frozenset()


class Inherited:
    """The distinct cases of a holding. keys: the cases; of_row: int32, by row of the holding, which case it is."""

    def __init__(self, holding: Holding) -> None:
        self.holding = holding
        self.keys, self._own = _distinct(holding)
        self._own_keys = tuple(self.keys)
        self._sources: dict[int, list[int]] = defaultdict(list)
        self._reached: dict[int, frozenset[int]] = {}
        for row, source in holding.sources.reshape(-1, 2).tolist():
            self._sources[row].append(source)
        self.of_row = self._with_sources()

    def _with_sources(self) -> IntColumn:
        column = self._own.copy()
        number_of = {key: row for row, key in reversed(list(enumerate(self.keys)))}
        for row in self._sources:
            key = self._joined(row)
            if key not in number_of:
                number_of[key] = len(self.keys)
                self.keys.append(key)
            column[row] = number_of[key]
        return column

    def _own_key(self, row: int) -> Key:
        return self._own_keys[int(self._own[row])]

    def _joined(self, row: int) -> Key:
        """Most parts have what their parent has, and nothing more: then there is nothing to join."""
        reached = self.reached(row)
        if len({int(self._own[one]) for one in reached}) == 1:
            return self._own_key(row)
        own = {self._own_key(one) for one in reached}
        bases = {self._papers_behind(one) for one in reached}
        return Key(
            _EMPTY.union(*(key.papers for key in own)),
            _EMPTY.union(*(key.verdicts for key in own)),
            max(key.listed for key in own),
            frozenset(one for one in bases if not any(other < one for other in bases)),
        )

    def _papers_behind(self, row: int) -> frozenset[int]:
        if row not in self._sources:
            return self.own_papers(row)
        return _EMPTY.union(*(self.own_papers(one) for one in self.reached(row)))

    def derived(self) -> Iterable[int]:
        """Rows that come from others."""
        return self._sources.keys()

    def sources(self, row: int) -> Sequence[int]:
        return self._sources.get(row, ())

    def own_papers(self, row: int) -> frozenset[int]:
        """The papers that bear on the row by itself."""
        return self._own_key(row).papers

    def reached(self, row: int) -> frozenset[int]:
        """The row and all that it comes from; a circle in the records is walked once."""
        if row not in self._sources:
            return frozenset({row})
        if row not in self._reached:
            self._reached[row] = frozenset(self._walk(row))
        return self._reached[row]

    def _walk(self, row: int) -> set[int]:
        reached, waiting = {row}, [row]
        while waiting:
            for source in self._sources.get(waiting.pop(), ()):
                if source not in reached:
                    reached.add(source)
                    waiting.append(source)
        return reached


def _distinct(holding: Holding) -> tuple[list[Key], IntColumn]:
    """The distinct cases of rows by themselves, and for each row the one that it is."""
    verdicts = holding.verdict.astype(np.int64) - NONE
    waiting = np.zeros(len(verdicts), bool) if holding.waiting is None else holding.waiting
    first: dict[frozenset[int], int] = {}
    same = np.array([first.setdefault(papers, number) for number, papers in enumerate(holding.sets)], np.int64)
    parts = (same[holding.papers], verdicts, holding.listed.astype(np.int64), waiting.astype(np.int64))
    sizes = (max(len(holding.sets), 1), len(Verdict) + 1, len(Listed), 2)
    found, column = np.unique(np.ravel_multi_index(parts, sizes), return_inverse=True)
    keys = [
        _own_key(holding.sets[papers], verdict + NONE, listed, bool(is_waiting))
        for papers, verdict, listed, is_waiting in zip(
            *map(np.ndarray.tolist, np.unravel_index(found, sizes)), strict=True
        )
    ]
    return keys, column.reshape(-1).astype(np.int32)


def _own_key(papers: frozenset[int], verdict: int, listed: int, is_waiting: bool) -> Key:
    """A verdict that waits to be made anew counts, and so does having none."""
    verdicts = frozenset({verdict, NONE} if is_waiting else {verdict})
    return Key(papers, verdicts, listed, frozenset({papers}))
