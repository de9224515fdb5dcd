"""The verdicts of a specimen through time: which layer went from what to what, by which run, who asked and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

from governance.engine.tables import Layer, Verdict
from governance.verdicts.cells import Cell
from governance.verdicts.models import Result, Run

MOST_ENTRIES = 30


@dataclass(frozen=True)
class LayerChange:
    """A layer whose verdict changed."""

    before: Cell
    after: Cell


@dataclass(frozen=True)
class HistoryEntry:
    """What one run found that was not found before.

    is_first: nothing stood before it. open_layers: how many layers needed a look from then on.
    """

    run: Run
    changes: Sequence[LayerChange]
    is_first: bool
    open_layers: int


def verdict_history(specimen: int) -> list[HistoryEntry]:
    """The newest entries first. One query; results of runs that did not come to their end are none."""
    rows = list(
        Result.objects.filter(specimen=specimen, run__state=Run.State.DONE)
        .select_related("run__by", "ruling")
        .order_by("-run_id")[: MOST_ENTRIES + 1]
    )
    return [_entry(row, before) for row, before in zip_longest(rows, rows[1:])][:MOST_ENTRIES]


def _entry(row: Result, before: Result | None) -> HistoryEntry:
    strip = row.ruling.strip
    changes = changed_layers(before.ruling.strip, strip) if before else []
    return HistoryEntry(row.run, changes, before is None, sum(int(v) >= Verdict.CANNOT_TELL for v in strip))


def changed_layers(before: str, after: str) -> list[LayerChange]:
    """The layers whose digit differs between two strips, in their order."""
    return [
        LayerChange(Cell(Verdict(int(old)), layer), Cell(Verdict(int(new)), layer))
        for layer, old, new in zip(Layer, before, after, strict=True)
        if old != new
    ]
