"""The twin of the engine of answers: what bears on a specimen, read off one row at a time."""

from __future__ import annotations

from functools import cache

from governance.engine.tables import NONE
from governance.engine.uses.kinds import Listed
from governance.engine.uses.tables import Holding


class Material:
    """What bears on each row, read off one row at a time."""

    def __init__(self, holding: Holding) -> None:
        self._holding = holding
        self.asked = sorted(set(holding.asked.tolist()))
        self.behind = cache(self._behind)
        self.number_under = cache(self._number_under)

    def own(self, row: int) -> frozenset[int]:
        return self._holding.sets[int(self._holding.papers[row])]

    def sources(self, row: int) -> list[int]:
        return [source for one, source in self._holding.sources.reshape(-1, 2).tolist() if one == row]

    def _behind(self, row: int) -> frozenset[int]:
        """The row, what it was taken from or pooled of, what these come from, and so on until nothing new is found."""
        found = {row}
        while True:
            more = {source for one in found for source in self.sources(one)} - found
            if not more:
                return frozenset(found)
            found |= more

    def papers(self, row: int) -> list[int]:
        return sorted({paper for one in self.behind(row) for paper in self.own(one)})

    def verdicts(self, row: int) -> list[int]:
        """Worst verdicts; that of a row which waits to be judged anew, and none besides."""
        waiting = self._holding.waiting
        found = {int(self._holding.verdict[one]) for one in self.behind(row)}
        if waiting is not None and any(waiting[one] for one in self.behind(row)):
            found.add(NONE)
        return sorted(found)

    def listed(self, row: int) -> Listed:
        return Listed(max(int(self._holding.listed[one]) for one in self.behind(row)))

    def bounds(self, row: int) -> tuple[int, int]:
        least, most = self._holding.least, self._holding.most
        return (1 if least is None else int(least[row])), (1 if most is None else int(most[row]))

    def originals(self, row: int, paper: int) -> list[int]:
        """The rows furthest back on which the paper bears by itself; of a circle the first."""
        bearing = [one for one in self.behind(row) if paper in self.own(one)]
        return [one for one in bearing if not any(self._is_further(other, one) for other in bearing)]

    def _is_further(self, other: int, one: int) -> bool:
        if other == one or other not in self.behind(one):
            return False
        is_circle = one in self.behind(other)
        return other < one if is_circle else True

    def _is_part(self, row: int) -> bool:
        return all(len(self.sources(one)) < 2 for one in self.behind(row))

    def _number_under(self, paper: int) -> tuple[int, int]:
        """Least and most individuals that are asked for and on which the paper bears, each counted once."""
        takers: dict[int, list[int]] = {}
        for row in self.asked:
            for original in self.originals(row, paper):
                takers.setdefault(original, []).append(row)
        numbers = [self._number_of(original, rows) for original, rows in takers.items()]
        return sum(least for least, _ in numbers), sum(most for _, most in numbers)

    def _number_of(self, original: int, rows: list[int]) -> tuple[int, int]:
        own_least, own_most = self.bounds(original)
        if original in rows:
            return own_least, own_most
        taken = [self.bounds(row) if self._is_part(row) else (1, own_most) for row in rows]
        least = max(low for low, _ in taken)
        return least, max(least, min(own_most, sum(high for _, high in taken)))
