"""The bench of answers compares like with like: engine and peers say the same of every specimen of a small world.

It cannot show what the peers are not given: conditions, versions, replies, parts, limits and the way there.
"""

from __future__ import annotations

from collections import Counter

import pytest

from governance.engine.uses import Answer
from tests.bench.run_uses import subjects
from tests.bench.uses_world import make_uses_world


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_engine_and_peers_agree(seed: int) -> None:
    pytest.importorskip("pandas", reason="peer G of the bench needs pandas")
    told = {name: work() for name, work in subjects(make_uses_world(2_000, sets=200, seed=seed)).items()}
    assert told["engine, with reasons"] == told["peer F, row by row"] == told["peer G, pandas"]
    counts = Counter(told["engine, with reasons"])
    assert set(counts) == set(Answer), "every answer occurs, else agreement would say little"


def test_a_part_is_answered_as_its_parent() -> None:
    """The other world of the bench: all that a part has, its parent has."""
    world = make_uses_world(2_000, sets=200, parts=400)
    answers = next(iter(subjects(world).values()))()
    for row, source in world.holding.sources.tolist():
        assert answers[row] == answers[source]
