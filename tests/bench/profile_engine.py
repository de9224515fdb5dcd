"""Prints where ``assess`` spends its time on the generated data: by function, and by module of the engine.

uv run python -m tests.bench.profile_engine [--specimens N] [--events N] [--papers N] [--taxa N] [--lines N]
"""

from __future__ import annotations

import argparse
import cProfile
import pstats
import re
from collections import defaultdict

from . import engine_answers
from .world import Size, make_world

OWN = re.compile(r"(shapely|pyproj|numpy|governance/engine/\w+\.py)")
GEOMETRY = ("shapely", "pyproj", "governance/engine/places.py", "governance/engine/areas.py",
            "governance/engine/geodesy.py")  # fmt: skip


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name, default in (("specimens", 1_000_000), ("events", 2_000), ("papers", 300), ("taxa", 5_000), ("lines", 30)):
        parser.add_argument(f"--{name}", type=int, default=default)
    return parser.parse_args()


def seconds_by_part(stats: pstats.Stats) -> dict[str, float]:
    """Own time of the functions of each library and module, "other" for the rest (numpy's C functions among it)."""
    spent: defaultdict[str, float] = defaultdict(float)
    for (path, _, _), (_, _, own, _, _) in stats.stats.items():  # type: ignore[attr-defined]
        found = OWN.search(path.replace("\\", "/"))
        spent[found.group(1) if found else "other"] += own
    return dict(spent)


def main() -> None:
    args = arguments()
    work = engine_answers.call(make_world(Size(args.specimens, args.events, args.papers, args.taxa)))
    profile = cProfile.Profile()
    profile.runcall(work)
    stats = pstats.Stats(profile)
    parts = seconds_by_part(stats)
    total = sum(parts.values())
    size = f"{args.specimens:,} specimens, {args.events:,} events, {args.papers} papers"
    print(f"{size}: {total:.2f} s under the profiler\n")
    for part, seconds in sorted(parts.items(), key=lambda item: -item[1]):
        print(f"{seconds:8.3f} s {seconds / total:6.1%}  {part}")
    geometry = sum(seconds for part, seconds in parts.items() if part in GEOMETRY)
    print(f"\nOwn time in shapely, pyproj, places, areas and geodesy: {geometry / total:.1%};")
    print('the C functions of numpy that they call are in "other".\n')
    stats.sort_stats("cumulative").print_stats(args.lines)


if __name__ == "__main__":
    main()
