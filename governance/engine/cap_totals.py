"""How far the limits of papers are used up (VERDICTS section 6, "The cap as a whole"), and by whom.

What counts under a limit, and with what, is told by the same counting that gives each specimen its answer. Only the
days are left out of it, since a limit as a whole asks for no order.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from governance.engine.assess import layer_case, prepared
from governance.engine.caps import CapCount, Lots, count_cap
from governance.engine.layer_case import LayerCase, Units
from governance.engine.tables import (
    UNBOUNDED,
    Cap,
    FloatColumn,
    HouseRules,
    IntColumn,
    Layer,
    Material,
    Outlines,
    Paper,
    Requirements,
)
from governance.engine.taxa import Classification

LAST_SOURCE = 2
"""Sources are told by numbers from 0 to this."""

SAFE, POSSIBLE, BREACHED = "safe", "possible", "breached"


@dataclass(frozen=True)
class CapTotal:
    """One limit of one paper, in the year, at the site or event, and of the species where it fares worst.

    paper: its row. layer: the first that it serves, whose day is counted. specimen: an example of those for which it
    fares worst. low, high: individuals of each source, certain and possible; together: of all. None: no bound.
    """

    paper: int
    layer: Layer
    cap: Cap
    specimen: int
    low: tuple[int, ...]
    high: tuple[int | None, ...]
    together: tuple[int, int | None]

    @property
    def state(self) -> str:
        """Safe if even what is possible is within the limit, breached if what is certain is not, else possible."""
        low, high = self.together
        if high is not None and high <= self.cap.limit:
            return SAFE
        return BREACHED if low > self.cap.limit else POSSIBLE


def cap_totals(
    material: Material,
    papers: Sequence[Paper],
    source: IntColumn,
    outlines: Outlines,
    house: HouseRules,
    classification: Classification,
) -> list[CapTotal]:
    """The limits under which something of the last source may count.

    Args:
        material, papers, outlines, house, classification: as for ``assess``.
        source: int, shape (n_specimens,): where each specimen comes from, ``LAST_SOURCE`` for those asked about.

    Returns:
        One for each limit of each paper, in their order; limits that several versions share once. None if nothing is
        of the last source.
    """
    if not (source == LAST_SOURCE).any():
        return []
    found: list[CapTotal] = []
    combined, shared = prepared(
        material, papers, Requirements(tuple(Layer)), outlines, house, classification=classification
    )
    for layer in Layer:
        rows = [
            n for n, paper in enumerate(papers) if min(paper.layers) == layer and any(v.caps for v in paper.versions)
        ]
        if rows:
            case, units = layer_case(combined, shared, layer)
            for paper in rows:
                found += _of_paper(_Counted(case, units, paper, source))
    return sorted(found, key=lambda total: total.paper)


class _Counted:
    """The units linked to a paper, with what each source adds to them. low, high: shape (n_sources, n_lots)."""

    def __init__(self, case: LayerCase, units: Units, paper: int, source: IntColumn) -> None:
        self.case = case
        self.paper = paper
        self.units, self.pair = case.units_of(np.flatnonzero(case.pairs.paper == paper))
        self.lots: Lots = case.caps.lots(self.units, self.pair, case.shared.papers[paper].kind)
        specimens = case.shared.material.specimens
        n_units, n_sources = len(units.event), LAST_SOURCE + 1
        place = source.astype(np.int64) * n_units + units.of_specimen

        def by_source(counts: IntColumn) -> FloatColumn:
            summed = np.bincount(place, weights=counts, minlength=n_sources * n_units)
            return np.asarray(summed.reshape(n_sources, n_units)[:, self.units], np.float64)

        self.low, self.high = by_source(specimens.count_low), by_source(specimens.count_high)
        largest = np.zeros(n_units)
        np.maximum.at(largest, units.of_specimen, specimens.count_low)
        self.largest = largest[self.units]
        example = np.full(n_units, -1, np.int64)
        asking = np.flatnonzero(source == LAST_SOURCE)
        example[units.of_specimen[asking][::-1]] = asking[::-1]
        self.example = example[self.units]

    def caps(self) -> Iterator[Cap]:
        """Of the versions that the last source touches, each once."""
        asking = self.pair[self.example >= 0]
        editions = [self.case.pairs.editions[n] for n in np.unique(self.case.pairs.edition[asking]).tolist()]
        yield from dict.fromkeys(cap for e in editions for v in e.versions for cap in v.caps)


def _of_paper(counted: _Counted) -> Iterator[CapTotal]:
    for cap in counted.caps():
        lots, classification = counted.lots, counted.case.shared.classification
        whole = _whole(cap, lots, classification)
        asking = np.flatnonzero(whole.tested & (counted.example >= 0))
        if not len(asking):
            continue
        low = np.where(whole.certain, np.maximum(whole.before, counted.largest), whole.before)
        breached, doubtful = low > cap.limit, whole.up_to > cap.limit
        worst = asking[np.lexsort((low[asking], whole.up_to[asking], doubtful[asking], breached[asking]))[-1]]
        parts = [
            _whole(cap, replace(lots, low=low_of, high=high_of), classification)
            for low_of, high_of in zip(counted.low, counted.high, strict=True)
        ]
        yield CapTotal(
            counted.paper,
            counted.case.layer,
            cap,
            int(counted.example[worst]),
            tuple(int(part.before[worst]) for part in parts),
            tuple(_bounded(part.up_to[worst]) for part in parts),
            (int(low[worst]), _bounded(whole.up_to[worst])),
        )


def _whole(cap: Cap, lots: Lots, classification: Classification) -> CapCount:
    """The count of a limit with every lot before, and up to, every other: ``before`` is L, ``up_to`` is U."""
    day, later = np.zeros(len(lots), np.int64), np.ones(len(lots), np.int64)
    before = count_cap(cap, replace(lots, earliest=later, latest=day), classification)
    up_to = count_cap(cap, replace(lots, earliest=day, latest=day), classification)
    return replace(up_to, before=before.before)


def _bounded(individuals: float) -> int | None:
    return None if individuals >= UNBOUNDED else int(individuals)
