"""How long the answers of the use desk take: 1,000,000 specimens, 300 papers, 500 distinct sets of papers, three uses.

    python -m tests.bench.run_uses
    python -m tests.bench.run_uses --specimens 10000

Everything is in memory on both sides. The engine gives every answer with all its reasons; the peers (F row by row, G
with pandas) give the bare answer. What is told is how they compare in the same run: seconds depend on the machine.
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

from governance.engine.uses import Answer, answer, may_go
from tests.bench.measure import machine, table, tell
from tests.bench.peers_f_uses import by_rows, by_tables, clauses
from tests.bench.uses_world import UsesWorld, make_uses_world

Work = Callable[[], list[int]]


def subjects(world: UsesWorld) -> dict[str, Work]:
    """What is timed: each gives one answer a specimen. The peers get their clauses ready-made."""
    told = clauses(world)
    return {
        "engine, with reasons": lambda: [int(one) for one in answer(*arguments(world)).answers()],
        "peer F, row by row": lambda: by_rows(world, told),
        "peer G, pandas": lambda: by_tables(world, told),
    }


def arguments(world: UsesWorld) -> tuple[list, object, object]:  # type: ignore[type-arg]
    return world.papers, world.holding, world.question


def cpu(work: Callable[[], object], times: int) -> float:
    """The middle of some times of the processor, in seconds, after one turn that does not count."""
    work()
    found = []
    for _ in range(times):
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return statistics.median(found)


def report(options: argparse.Namespace) -> Iterator[str]:
    yield f"Machine: {machine('numpy', 'pandas')}."
    world = make_uses_world(options.specimens)
    works = subjects(world)
    answers = {name: work() for name, work in works.items()}
    if len({tuple(told) for told in answers.values()}) > 1:
        raise SystemExit("the engine and its peers do not agree: nothing was measured")
    seconds = {name: cpu(work, options.times) for name, work in works.items()}
    own = next(iter(seconds.values()))
    rows = [[name, f"{spent:.2f}", f"{spent / own:.2f}"] for name, spent in seconds.items()]
    yield table([f"{options.specimens:,} specimens", "CPU s", "times the engine's"], rows)
    told = answer(*arguments(world))
    counts = Counter(Answer(one).code for one in answers["engine, with reasons"])
    shares = ", ".join(f"{code} {count:,}" for code, count in counts.most_common())
    yield f"{len(told.cases):,} distinct cases; {may_go(told):,} may go. {shares}."
    parted = make_uses_world(options.specimens, parts=options.specimens // 5)
    alone, with_parts = (cpu(lambda one=one: answer(*arguments(one)), options.times) for one in (world, parted))
    yield (
        f"The engine without the list of answers: {alone:.2f} s; where a fifth of the specimens are parts of others: "
        f"{with_parts:.2f} s, {with_parts / alone:.1f} times."
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--specimens", type=int, default=1_000_000)
    parser.add_argument("--times", type=int, default=3)
    parser.add_argument("--out", type=Path, default=None)
    options = parser.parse_args()
    tell(report(options), options.out)


if __name__ == "__main__":
    main()
