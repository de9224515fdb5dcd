"""The bar of verdicts: how many specimens stand at each, drawn in percent (DESIGN: order worst last, white gaps)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from governance.engine.tables import Verdict
from governance.verdicts.cells import Cell

_ROOM_FOR_A_COUNT = 12.0
"""Percent of the bar from which on a count fits inside."""


@dataclass(frozen=True)
class Share:
    """One stretch of the bar; x, width and middle in percent."""

    cell: Cell
    count: int
    x: str
    width: str
    middle: str
    percent: str
    is_labelled: bool


def distribution(tallies: Mapping[int, int], *, with_zeros: bool = False) -> list[Share]:
    """The stretches of the bar, best verdict first.

    >>> [(share.count, share.x, share.width) for share in distribution({0: 3, 5: 1})]
    [(3, '0.00', '75.00'), (1, '75.00', '25.00')]
    """
    total = sum(tallies.values())
    shares, start = [], 0.0
    for verdict in Verdict:
        count = tallies.get(verdict, 0)
        width = 100 * count / total if total else 0.0
        if count or with_zeros:
            shares.append(
                Share(Cell(verdict), count, f"{start:.2f}", f"{width:.2f}", f"{start + width / 2:.2f}",
                      _percent(count, width), width >= _ROOM_FOR_A_COUNT)
            )  # fmt: skip
        start += width
    return shares


def _percent(count: int, width: float) -> str:
    """Whole percent; what is there but less than one says so.

    >>> _percent(1, 0.2), _percent(0, 0.0), _percent(84, 84.3)
    ('<1 %', '0 %', '84 %')
    """
    return "<1 %" if count and width < 1 else f"{width:.0f} %"
