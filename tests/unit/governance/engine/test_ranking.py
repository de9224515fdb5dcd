"""How the search for the nearest paper goes through units and pairs in slices, so that memory stays bounded."""

from __future__ import annotations

import numpy as np
import pytest

from governance.engine import ranking

COUNTS = [2, 0, 3, 1, 5, 2, 1]
"""Pairs of each event: event 4 alone has more than a slice holds, event 1 has none."""


@pytest.mark.parametrize("most", [1, 3, 4, 100])
def test_slices_hold_every_unit_with_every_pair_of_its_event(most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """By hand: pairs are numbered through, so event 0 has 0 and 1, event 2 has 2 to 4, event 3 has 5, event 4 has 6 to
    10, event 5 has 11 and 12, event 6 has 13. No slice holds more than ``most``, unless a unit alone has more.
    """
    monkeypatch.setattr(ranking, "_TRIPLES_AT_ONCE", most)
    starts = np.concatenate([[0], np.cumsum(COUNTS)])
    event_of_unit = np.array([0, 2, 1, 4, 6, 3, 5, 2], np.int32)
    pairs = np.arange(14, dtype=np.int32)

    slices = list(ranking._expand(np.arange(8, dtype=np.int32), event_of_unit, starts, pairs))

    found = [(int(u), int(p)) for unit, pair in slices for u, p in zip(unit, pair, strict=True)]
    assert found == [
        (0, 0), (0, 1), (1, 2), (1, 3), (1, 4), (3, 6), (3, 7), (3, 8), (3, 9), (3, 10), (4, 13), (5, 5),
        (6, 11), (6, 12), (7, 2), (7, 3), (7, 4),
    ]  # fmt: skip
    assert all(len(unit) <= most or len(set(unit.tolist())) == 1 for unit, _ in slices)
    units = [set(unit.tolist()) for unit, _ in slices]
    assert sum(map(len, units)) == 7, "each unit is whole in one slice"
    fullest = {1: 7, 3: 6, 4: 5, 100: 1}  # greedily: 3: 2 | 3 | 5 | 1+1 | 2 | 3; 4: 2 | 3 | 5 | 1+1+2 | 3
    assert len(slices) == fullest[most]
