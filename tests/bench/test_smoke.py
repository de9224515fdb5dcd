"""The bench compares like with like: on small worlds the engine and peer C say the same of every specimen.

Peer C is written from the verdict contract (sections 3, 4, 5 and 7), not from the engine: pandas merges, a projected
plane and shapely's nearest points against the engine's own geometry. It cannot show what neither is given here:
exclusions of places, several versions, methods, people, sexes, stages and caps.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

SPECIMENS = 3_000
SEEDS = (20231101, 20231103, 20231107)


@cache
def answers(seed: int) -> tuple[Any, Any]:
    """(peer C's, the engine's) verdicts and findings of one small world."""
    pytest.importorskip("pandas", reason="the peers of the bench need pandas: uv sync --group bench")
    from tests.bench import engine_answers, generate, peer_c_three_valued
    from tests.bench.world import Size, make_world

    world = make_world(Size(SPECIMENS, events=60, papers=20, taxa=200), seed)
    peer = peer_c_three_valued.by_specimen(peer_c_three_valued.assess(generate.frames(world)))
    return peer, engine_answers.frames_of(engine_answers.call(world)())


@pytest.mark.parametrize("seed", SEEDS)
def test_peer_and_engine_agree(seed: int) -> None:
    from tests.bench.compare import differences

    found = differences(*answers(seed))
    assert found["specimens"] == SPECIMENS
    assert [found[part] for part in ("verdict", "codes", "measures", "paper")] == [0, 0, 0, 0], found["examples"]


def test_worlds_are_worth_comparing() -> None:
    """Every verdict, unions, and misses by date, place and taxon: agreement on nothing would show nothing."""
    verdicts, codes = set(), set()
    for seed in SEEDS:
        specimens, findings = answers(seed)[0]
        verdicts |= set(specimens["verdict"])
        codes |= set(findings["code"])
        assert 0.2 < (specimens["verdict"] == "covered").mean() < 0.8
        assert specimens["paper"].str.contains(" | ", regex=False).any()
    assert verdicts == {"covered", "cannot-tell", "straddles", "outside"}
    assert codes >= {"date-vague", "straddles", "date-missing", "before-start", "after-end", "area-edge",
                     "outside-area", "place-missing", "taxon-broad", "taxon-not-included", "radius-assumed",
                     "datum-assumed"}  # fmt: skip


@pytest.mark.parametrize(
    ("frame", "column", "value", "part"),
    [(0, "verdict", "missing", "verdict"), (1, "code", "revoked", "codes"), (1, "against", -1.0, "measures")],
)
def test_comparison_sees_one_changed_cell(frame: int, column: str, value: Any, part: str) -> None:
    from tests.bench.compare import differences

    peer = answers(SEEDS[0])[0]
    changed = [table.copy() for table in peer]
    changed[frame].loc[changed[frame].index[7], column] = value
    assert differences(peer, (changed[0], changed[1]))[part] == 1


def test_generated_papers_are_as_the_bench_says() -> None:
    """300 valid areas; the stars of 50 to 5,000 vertices hold some 325,000 in all, before some are halved."""
    import shapely

    from tests.bench.world import Size, make_world

    shapes = make_world(Size(specimens=100, events=10, papers=300, taxa=50)).paper_shape
    assert len(shapes) == 300
    assert shapely.is_valid(shapes).all()
    assert 290_000 < shapely.get_num_coordinates(shapes).sum() < 360_000
