"""Which verdicts a change would change, before it is saved: tried in a transaction that is taken back.

The very action is run, the specimens that its marks touch are judged by the very engine with all their papers, and the
verdicts are held against those that stand. So the preview cannot say anything else than the verdicts later.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final, TypeVar

import numpy as np
from django.db import transaction

from accessions.material.models import Specimen, Touch
from governance.engine import assess as judge
from governance.engine.tables import ByteColumn, Layer, LongColumn, Verdict
from governance.verdicts.actions.paper_preview import MOST_SPECIMENS
from governance.verdicts.cells import Cell
from governance.verdicts.check import outlines
from governance.verdicts.feed import feed
from governance.verdicts.feed.rows import select, select_by_keys
from governance.verdicts.renaming import names_used
from governance.verdicts.selecting import Selection, of_touches

T = TypeVar("T")

MOST_EXAMPLES: Final = 10

_NOT_YET: Final = 255
"""Stands for the verdict of a specimen that has none yet."""


@dataclass(frozen=True)
class Move:
    """So many specimens whose verdict of a layer would go from one to another."""

    before: Cell
    after: Cell
    specimens: int

    @property
    def is_worse(self) -> bool:
        return self.after.verdict > self.before.verdict


@dataclass(frozen=True)
class Example:
    """One of the specimens whose verdict would change, with its worst change."""

    specimen: Specimen
    before: Cell
    after: Cell


@dataclass(frozen=True)
class Changes:
    """What a change would do to verdicts.

    touched: specimens whose verdicts would be looked at again. is_too_many: they are more than are tried; nothing else
    is known then. moves: by layer, before and after, the worst first. worse, better, changed: specimens of which any
    layer would change, for the worse, or for the better alone. unjudged: specimens without a verdict so far. is_behind:
    verdicts of earlier changes are still being worked out, so that some of the moves may come from those.
    """

    touched: int = 0
    is_too_many: bool = False
    moves: tuple[Move, ...] = ()
    worse: int = 0
    better: int = 0
    unjudged: int = 0
    examples: tuple[Example, ...] = field(default=())
    is_behind: bool = False

    @property
    def changed(self) -> int:
        return self.worse + self.better

    @property
    def stay(self) -> int:
        return self.touched - self.changed - self.unjudged

    @property
    def verdicts(self) -> int:
        """Verdicts of single layers that would change."""
        return sum(move.specimens for move in self.moves)

    @property
    def most(self) -> int:
        """More specimens than this are not tried."""
        return MOST_SPECIMENS


def preview_change(change: Callable[[], object]) -> Changes:
    """Try a change of papers or decisions and say which verdicts would change; nothing of it stays.

    Args:
        change: an action that saves and leaves marks. What it raises comes through.
    """

    def tried() -> Changes:
        waiting = set(Touch.objects.values_list("pk", flat=True))
        change()
        marks = [mark for mark in Touch.objects.order_by("pk") if mark.pk not in waiting]
        return _judged(marks, is_behind=bool(waiting)) if marks else Changes()

    return undone(tried)


def undone(act: Callable[[], T]) -> T:
    """Whatever this says; what it wrote is taken back."""
    with transaction.atomic():
        found = act()
        transaction.set_rollback(True)
    return found


def _judged(marks: Sequence[Touch], *, is_behind: bool) -> Changes:
    selection = of_touches(marks, names_used())
    touched = Specimen.objects.count() if selection.specimens is None else len(selection.specimens)
    if touched > MOST_SPECIMENS:
        return Changes(touched, is_too_many=True)
    return _compared(selection, is_behind=is_behind) if touched else Changes()


def _compared(selection: Selection, *, is_behind: bool) -> Changes:
    fed = feed(selection.specimens, selection.linked)
    after = judge(
        fed.material, fed.papers.papers, fed.requirements, outlines(), fed.house.rules,
        classification=fed.classification,
    ).verdict  # fmt: skip
    before = _standing(fed.specimens.ids, every=selection.specimens is None)
    judged = before[:, 0] != _NOT_YET
    differs = (before != after) & judged[:, None]
    gets_worse = (differs & (after > before)).any(axis=1)
    return Changes(
        touched=len(after),
        moves=_moves(before, after, differs),
        worse=int(gets_worse.sum()),
        better=int((differs.any(axis=1) & ~gets_worse).sum()),
        unjudged=int((~judged).sum()),
        examples=_examples(fed.specimens.ids, before, after, differs),
        is_behind=is_behind,
    )


def _standing(ids: LongColumn, *, every: bool) -> ByteColumn:
    """The computed verdicts that stand, shape (n_specimens, 9), in the order of the ids."""
    sql = "SELECT s.specimen_id, r.strip FROM verdicts_standing s JOIN verdicts_ruling r ON r.id = s.ruling_id"
    rows = select(sql) if every else select_by_keys(f"{sql} WHERE s.specimen_id IN", ids)
    found = np.full((len(ids), len(Layer)), _NOT_YET, np.uint8)
    for pk, strip in rows:
        row = int(np.searchsorted(ids, pk))
        if row < len(ids) and ids[row] == pk:
            found[row] = np.frombuffer(strip.encode(), np.uint8) - ord("0")
    return found


def _badness(before: int, after: int) -> tuple[bool, int, int]:
    """The worst change sorts first: what gets worse, the worse it becomes, the better it was."""
    return after < before, -after, before


def _moves(before: ByteColumn, after: ByteColumn, differs: np.ndarray) -> tuple[Move, ...]:
    found = []
    for layer in Layer:
        rows = differs[:, layer]
        both = np.column_stack([before[rows, layer], after[rows, layer]])
        pairs, counts = np.unique(both, axis=0, return_counts=True)
        for (old, new), count in zip(pairs.tolist(), counts.tolist(), strict=True):
            found.append(Move(Cell(Verdict(old), layer), Cell(Verdict(new), layer), count))
    return tuple(sorted(found, key=lambda move: (*_badness(move.before.verdict, move.after.verdict), -move.specimens)))


def _examples(ids: LongColumn, before: ByteColumn, after: ByteColumn, differs: np.ndarray) -> tuple[Example, ...]:
    """Specimens of the worst changes, each once, with its worst."""
    row, layer = np.nonzero(differs)
    old, new = before[row, layer].astype(int), after[row, layer].astype(int)
    worst_first = np.lexsort((layer, row, old, -new, new < old))
    shown: dict[int, int] = {}
    for place in worst_first.tolist():
        shown.setdefault(int(row[place]), place)
        if len(shown) == MOST_EXAMPLES:
            break
    keys = [int(ids[number]) for number in shown]
    specimens = Specimen.objects.select_related("name", "accession", "part").in_bulk(keys)
    return tuple(
        Example(
            specimens[key],
            Cell(Verdict(int(old[place])), Layer(int(layer[place]))),
            Cell(Verdict(int(new[place])), Layer(int(layer[place]))),
        )
        for key, place in zip(keys, shown.values(), strict=True)
    )
