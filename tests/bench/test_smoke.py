"""The bench compares like with like: on a small world the engine and peer C say the same of every specimen.

Peer C is written from the verdict contract (sections 3, 4, 5 and 7), not from the engine: pandas merges, a projected
plane and shapely's nearest points against the engine's own geometry. It cannot show what neither covers: exclusions of
places, several versions, methods, people, sexes, stages and caps.
"""

from __future__ import annotations

from typing import Any

import pytest

SMALL = {"specimens": 3_000, "events": 60, "papers": 20, "taxa": 200}


@pytest.fixture(scope="module")
def answers() -> tuple[Any, Any]:
    """(peer C's, the engine's) verdicts and findings of one small world."""
    pytest.importorskip("pandas", reason="the peers of the bench need pandas: uv sync --group bench")
    from tests.bench import engine_answers, generate, peer_c_three_valued
    from tests.bench.world import Size, make_world

    world = make_world(Size(**SMALL))
    peer = peer_c_three_valued.by_specimen(peer_c_three_valued.assess(generate.frames(world)))
    return peer, engine_answers.frames_of(engine_answers.call(world)())


def test_peer_and_engine_agree(answers: tuple[Any, Any]) -> None:
    from tests.bench.compare import differences

    found = differences(*answers)
    assert found["specimens"] == SMALL["specimens"]
    assert [found[part] for part in ("verdict", "codes", "measures", "paper")] == [0, 0, 0, 0], found["examples"]


def test_the_world_is_worth_comparing(answers: tuple[Any, Any]) -> None:
    """Every verdict, a union in the file's order, and misses by date, place and taxon: agreement on nothing is none."""
    verdicts, findings = answers[0]
    assert set(verdicts["verdict"]) == {"covered", "cannot-tell", "straddles", "outside"}
    assert verdicts["paper"].str.contains(" | ", regex=False).any()
    assert {"date-vague", "straddles", "date-missing", "before-start", "after-end", "area-edge", "outside-area",
            "place-missing", "taxon-not-included", "radius-assumed", "datum-assumed"} <= set(findings["code"])  # fmt: skip
    assert 0.2 < (verdicts["verdict"] == "covered").mean() < 0.8


@pytest.mark.parametrize(
    ("frame", "column", "value", "part"),
    [(0, "verdict", "missing", "verdict"), (1, "code", "revoked", "codes"), (1, "against", -1.0, "measures")],
)
def test_comparison_sees_one_changed_cell(answers: tuple[Any, Any], frame: int, column: str, value: Any, part: str) -> None:
    from tests.bench.compare import differences

    changed = [table.copy() for table in answers[0]]
    changed[frame].loc[changed[frame].index[7], column] = value
    assert differences(answers[0], tuple(changed))[part] == 1


def test_generated_papers_are_as_the_bench_says() -> None:
    """300 valid areas; the stars of 50 to 5,000 vertices hold some 325,000 in all, before some are halved or renewed."""
    import shapely

    from tests.bench.world import Size, make_world

    shapes = make_world(Size(specimens=100, events=10, papers=300, taxa=50)).paper_shape
    assert len(shapes) == 300
    assert shapely.is_valid(shapes).all()
    assert 290_000 < shapely.get_num_coordinates(shapes).sum() < 360_000
