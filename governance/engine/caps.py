"""How many: limits on individuals taken under a paper (VERDICTS section 6, "Numbers").

The unit of counting is a *lot*: all linked specimens that share date, place, name and event, with the sum of their
counts. A lot's specimens get one answer.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from governance.engine.answers import NO, UNKNOWN
from governance.engine.columns import Column, MoreFindings, yes
from governance.engine.tables import (
    RANKS,
    UNBOUNDED,
    BoolColumn,
    Cap,
    Finding,
    FloatColumn,
    IntColumn,
    LongColumn,
    Rows,
)
from governance.engine.taxa import Classification

_SPECIES = RANKS.index("species")
_BLANK = -1


@dataclass(frozen=True)
class Lots:
    """The lots linked to one paper, shape (n,) each.

    taxon: row of the classification. earliest, latest: days, wide open where the date has no interval. first_year,
    last_year: the years it touches. event: a number, -1 blank; site: the number of its set of keys, -1 blank, and
    same_site: for each such number those that share a key with it. low, high: individuals (float64, so that sums of
    lots without bound stay finite). certain: the paper's taxon, date and place answers are all yes; possible: none is
    no, a straddling run apart.
    """

    taxon: IntColumn
    earliest: LongColumn
    latest: LongColumn
    first_year: LongColumn
    last_year: LongColumn
    site: IntColumn
    event: IntColumn
    low: FloatColumn
    high: FloatColumn
    certain: BoolColumn
    possible: BoolColumn
    same_site: Sequence[Rows]

    def __len__(self) -> int:
        return len(self.taxon)

    @cached_property
    def mixed_events(self) -> list[int]:
        """Events whose lots do not all have the same days: what is of one event is neither before nor after it."""
        known = np.flatnonzero(self.event != _BLANK)
        days = np.unique(np.column_stack([self.event, self.earliest, self.latest])[known], axis=0)
        events, counts = np.unique(days[:, 0], return_counts=True)
        return [int(event) for event in events[counts > 1]]

    def sharing(self, rows: Rows, site: int) -> Rows:
        """Those of the rows that name the site, by any of its keys."""
        return rows[np.isin(self.site[rows], self.same_site[site])]


@dataclass(frozen=True)
class CapCount:
    """What a cap counts for each lot, shape (n_lots,) each.

    tested, certain: the lot itself is possibly, or certainly, counted. before (B): individuals certainly taken before
    its event. up_to (A): those possibly taken up to and including its event, of the species, year, site or event that
    it could be. Both float64.
    """

    tested: BoolColumn
    certain: BoolColumn
    before: FloatColumn
    up_to: FloatColumn


def judge_caps(
    caps: list[Cap], lots: Lots, classification: Classification, more: MoreFindings
) -> tuple[Column, BoolColumn]:
    """The answer of all caps together, and whether any of them was tested, shape (n_lots,).

    Measures are individuals, NaN where there is no bound. No caps: all yes, none tested.
    """
    column = yes(len(lots))
    tested = np.zeros(len(lots), bool)
    found: dict[int, list[tuple[int, Finding]]] = {}
    for cap in caps:
        count = count_cap(cap, lots, classification)
        tested |= count.tested
        breached = count.tested & count.certain & (count.before >= cap.limit)
        doubtful = count.tested & ~breached & (count.up_to > cap.limit)
        for flags, answer, code, measure in (
            (breached, NO, "cap-breached", count.before),
            (doubtful, UNKNOWN, "cap-possible", count.up_to),
        ):
            for row in np.flatnonzero(flags).tolist():
                value = None if measure[row] >= UNBOUNDED else float(measure[row])
                finding = Finding(code, value, float(cap.limit), "individuals")
                found.setdefault(row, []).append((answer, finding))
    for row, findings in found.items():
        _settle(column, row, findings, more)
    return column, tested


def _settle(column: Column, row: int, findings: list[tuple[int, Finding]], more: MoreFindings) -> None:
    """Write a lot's findings, in the order of the caps, with the worst answer and the largest miss."""
    first = findings[0][1]
    misses = [f.measure - f.against for _, f in findings if f.measure is not None and f.against is not None]
    column.settle(
        np.array([row]),
        max(answer for answer, _ in findings),
        first.code,
        measure=np.nan if first.measure is None else first.measure,
        against=np.nan if first.against is None else first.against,
        miss=max(misses) if len(misses) == len(findings) else np.inf,
    )
    column.more[row] = more.id_of(tuple(finding for _, finding in findings[1:]))


def count_cap(cap: Cap, lots: Lots, classification: Classification) -> CapCount:
    """Count the lots under one cap: L, U, A and B of the contract, lot by lot."""
    inside, possible = _under(cap, lots, classification)
    certain, tested = lots.certain & inside, lots.possible & (inside | possible)
    keys = _Keys.of(cap, lots, classification)
    return CapCount(tested, certain, _before(lots, certain, keys), _up_to(lots, tested, keys, classification))


def _under(cap: Cap, lots: Lots, classification: Classification) -> tuple[BoolColumn, BoolColumn]:
    """Lots whose name lies at or below the capped taxon, and those whose name could."""
    if cap.taxon is None:
        everything = np.ones(len(lots), bool)
        return everything, everything
    relation = classification.relate(cap.taxon)
    if relation.ambiguous:
        doubt = (relation.inside | relation.possible)[lots.taxon]
        return np.zeros(len(lots), bool), doubt
    return relation.inside[lots.taxon], relation.possible[lots.taxon]


@dataclass(frozen=True)
class _Keys:
    """By what the cap tells lots apart; a key the cap does not use is 0 for all, so that all share it.

    species, event: -1 where blank (certain only with itself, possible with all). sites, years: whether they count.
    """

    species: LongColumn
    event: LongColumn
    sites: bool
    years: bool
    each_species: bool

    @classmethod
    def of(cls, cap: Cap, lots: Lots, classification: Classification) -> _Keys:
        """The keys of the lots under one cap."""
        zero = np.zeros(len(lots), np.int64)
        return cls(
            species=classification.species[lots.taxon].astype(np.int64) if cap.each_species else zero,
            event=lots.event.astype(np.int64) if cap.per == "event" else zero,
            sites=cap.per == "site",
            years=cap.per == "year",
            each_species=cap.each_species,
        )


def _before(lots: Lots, certain: BoolColumn, keys: _Keys) -> FloatColumn:
    """B: certainly counted, certainly the same in every key, and over before the lot's first day."""
    before = np.zeros(len(lots))
    year = np.where(lots.first_year == lots.last_year, lots.first_year, _BLANK) if keys.years else np.zeros(len(lots))
    rows = np.flatnonzero((keys.species != _BLANK) & (keys.event != _BLANK) & (year != _BLANK))
    if not len(rows):
        return before
    table = np.column_stack([keys.species, keys.event, year])[rows]
    group = np.unique(table, axis=0, return_inverse=True)[1].reshape(-1)
    for members in _groups(rows, group):
        for askers, shared in _same_sites(lots, members) if keys.sites else [(members, members)]:
            counted = shared[certain[shared]]
            before[askers] = _sum_until(lots.latest, lots.low, counted, lots.earliest[askers], side="left")
            for event in _asking(lots, askers):
                own = askers[lots.event[askers] == event]
                same = counted[lots.event[counted] == event]
                before[own] -= _sum_until(lots.latest, lots.low, same, lots.earliest[own], side="left")
    return before


def _same_sites(lots: Lots, members: Rows) -> Iterator[tuple[Rows, Rows]]:
    """For each site the lots that name it, and all that certainly share it; a blank site shares with none."""
    for site in np.unique(lots.site[members]).tolist():
        if site != _BLANK:
            yield members[lots.site[members] == site], lots.sharing(members, site)


def _groups(rows: Rows, group: Rows) -> Iterator[Rows]:
    """The rows of each group, by its number."""
    order = np.argsort(group, kind="stable")
    ends = np.flatnonzero(np.diff(group[order])) + 1
    yield from np.split(rows[order], ends)


def _up_to(lots: Lots, tested: BoolColumn, keys: _Keys, classification: Classification) -> FloatColumn:
    """A: the largest sum over the keys that each lot could have."""
    up_to = np.zeros(len(lots))
    counted = np.flatnonzero(tested)
    for askers, rows in _species_readings(lots, counted, keys, classification):
        for site_askers, site_rows in _site_readings(lots, askers, rows, by_site=keys.sites):
            for event_askers, event_rows in _readings(site_askers, site_rows, keys.event):
                for year_askers, year_rows in _year_readings(lots, event_askers, event_rows, by_year=keys.years):
                    _raise_to(up_to, lots, year_askers, year_rows)
    return up_to


def _raise_to(up_to: FloatColumn, lots: Lots, askers: Rows, rows: Rows) -> None:
    """Raise A of the askers to what the rows hold that may have been taken by the asker's last day, or at its event."""
    reached = _sum_until(lots.earliest, lots.high, rows, lots.latest[askers], side="right")
    for event in _asking(lots, askers):
        own = lots.event[askers] == event
        same = rows[lots.event[rows] == event]
        later = lots.high[same].sum() - _sum_until(
            lots.earliest, lots.high, same, lots.latest[askers[own]], side="right"
        )
        reached[own] += later
    up_to[askers] = np.maximum(up_to[askers], reached)


def _asking(lots: Lots, askers: Rows) -> list[int]:
    """Of the events of mixed days those that ask: the others change nothing for them."""
    if not lots.mixed_events:
        return []
    asking = set(lots.event[askers].tolist())
    return [event for event in lots.mixed_events if event in asking]


def _sum_until(
    days: LongColumn, amounts: FloatColumn, rows: Rows, until: LongColumn, *, side: Literal["left", "right"]
) -> FloatColumn:
    """For each day the sum of the amounts of the rows whose day is before it (left), or not after it (right)."""
    order = rows[np.argsort(days[rows], kind="stable")]
    total = np.concatenate([[0.0], np.cumsum(amounts[order])])
    return total[np.searchsorted(days[order], until, side=side)]


def _readings(askers: Rows, rows: Rows, key: LongColumn) -> Iterator[tuple[Rows, Rows]]:
    """For each key value: the lots that ask with it, and the lots that may share it. A blank may share with all."""
    asked = key[askers]
    for value in np.unique(asked).tolist():
        shares = rows if value == _BLANK else rows[(key[rows] == value) | (key[rows] == _BLANK)]
        yield askers[asked == value], shares


def _site_readings(lots: Lots, askers: Rows, rows: Rows, *, by_site: bool) -> Iterator[tuple[Rows, Rows]]:
    """As ``_readings``, for sites: two sets of keys may be one site if they share a key."""
    if not by_site:
        yield askers, rows
        return
    blank = rows[lots.site[rows] == _BLANK]
    for site in np.unique(lots.site[askers]).tolist():
        shares = rows if site == _BLANK else np.concatenate([lots.sharing(rows, site), blank])
        yield askers[lots.site[askers] == site], shares


def _year_readings(lots: Lots, askers: Rows, rows: Rows, *, by_year: bool) -> Iterator[tuple[Rows, Rows]]:
    """As ``_readings``, for years: a lot may be of every year that its date touches at either end."""
    if not by_year:
        yield askers, rows
        return
    known = lots.first_year[rows].tolist() + lots.last_year[rows].tolist()
    for year in sorted(set(known)):
        asking = askers[(lots.first_year[askers] <= year) & (lots.last_year[askers] >= year)]
        yield asking, rows[(lots.first_year[rows] <= year) & (lots.last_year[rows] >= year)]


def _species_readings(
    lots: Lots, counted: Rows, keys: _Keys, classification: Classification
) -> Iterator[tuple[Rows, Rows]]:
    """For each species, seen or unseen: the lots that could be of it (they ask), and again these (they are counted)."""
    if not keys.each_species:
        yield counted, counted
        return
    named = counted[keys.species[counted] != _BLANK]
    unnamed = counted[keys.species[counted] == _BLANK]
    lineage = classification.lineage[lots.taxon, :_SPECIES]
    groups = _groups(named, np.unique(keys.species[named], return_inverse=True)[1].reshape(-1)) if len(named) else ()
    for members in groups:
        could_be = unnamed[_compatible(lineage[unnamed], lineage[members[0]])]
        for rows in _agreeing(np.concatenate([members, could_be]), lineage):
            yield rows, rows
    for rows in _agreeing(unnamed, lineage):
        yield rows, rows


def _agreeing(rows: Rows, lineage: IntColumn) -> Iterator[Rows]:
    """The largest sets of the rows whose lineages agree, so that one species could be meant by all of a set."""
    for rank in range(lineage.shape[1]):
        column = lineage[rows, rank]
        names = np.unique(column[column != _BLANK])
        if len(names) > 1:
            for name in names.tolist():
                yield from _agreeing(rows[(column == name) | (column == _BLANK)], lineage)
            return
    if len(rows):
        yield rows


def _compatible(lineages: IntColumn, one: IntColumn) -> BoolColumn:
    """Lineages that do not differ from one in any rank that both fill."""
    return np.asarray(~((lineages != _BLANK) & (one != _BLANK) & (lineages != one)).any(axis=1))
