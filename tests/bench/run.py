"""Measures the engine against its three peers and prints the tables of ``governance/docs/bench.md``.

    uv run --group bench python -m tests.bench.run                      the full bench: 0.5 to 5 million specimens
    uv run --group bench python -m tests.bench.run --small              a trial of a minute

Every run is a process of its own, with its inputs loaded and its imports done before the clock starts. Subjects take
turns, so that a slow spell of the machine hits all of them; the best of the turns counts.
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from .measure import in_child, machine, table, tell

PACKAGES = ("numpy", "shapely", "pyproj", "pandas", "geopandas")
NAMES = {"a": "A, naive: a join a specimen, yes/no", "b": "B, tidy: distinct events, yes/no",
         "c": "C, tidy, three-valued with reasons", "engine": "engine"}  # fmt: skip
Costs = dict[str, dict[str, float]]


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--specimens", type=int, default=1_000_000)
    parser.add_argument("--large", type=int, default=5_000_000)
    parser.add_argument("--growth", type=int, nargs="*", default=[500_000, 1_000_000, 2_000_000, 5_000_000])
    parser.add_argument("--events", type=int, default=2_000)
    parser.add_argument("--papers", type=int, default=300)
    parser.add_argument("--taxa", type=int, default=5_000)
    parser.add_argument("--turns", type=int, default=2)
    parser.add_argument("--subjects", nargs="*", default=["a", "b", "c", "engine"], help="at --specimens")
    parser.add_argument("--large-subjects", nargs="*", default=["b", "c", "engine"], help="at --large")
    parser.add_argument("--no-uniform", action="store_true", help="leave out the world of distinct pairs")
    parser.add_argument("--small", action="store_true", help="20,000 specimens, 200 events, 50 papers, 1,000 taxa")
    parser.add_argument("--out", type=Path, help="write the tables to this file too")
    args = parser.parse_args()
    if args.small:
        args.specimens, args.large, args.growth = 20_000, 100_000, [10_000, 20_000, 40_000, 100_000]
        args.events, args.papers, args.taxa = 200, 50, 1_000
    return args


class Bench:
    """The worlds on disk, and the costs of the subjects on them."""

    def __init__(self, args: argparse.Namespace, directory: Path) -> None:
        self.args, self.directory = args, directory

    def world(self, specimens: int, mix: str = "field") -> Path:
        path = self.directory / f"{mix}-{specimens}.world"
        if not path.exists():
            a = self.args
            in_child("tests.bench.subject", "world", path, specimens, a.events, a.papers, a.taxa, mix)
        return path

    def costs(self, world: Path, subjects: Iterable[str], keep: Path | None = None) -> Costs:
        """Of each subject the turn of least seconds; the answers of the last turn go to ``keep``."""
        best: Costs = {}
        for _ in range(self.args.turns):
            for subject in subjects:
                words = [] if keep is None else [keep / f"{subject}.answers"]
                cost = in_child("tests.bench.subject", subject, world, *words)
                if subject not in best or cost["seconds"] < best[subject]["seconds"]:
                    best[subject] = cost
        return best


def peer_rows(costs: Costs, specimens: int, targets: dict[str, str]) -> list[list[str]]:
    rows = []
    engine = costs["engine"]["seconds"]
    for subject, cost in costs.items():
        ratio = "1" if subject == "engine" else f"{cost['seconds'] / engine:.1f}"
        rows.append([NAMES[subject], f"{specimens:,}", f"{cost['seconds']:.2f}", f"{cost['cpu_seconds']:.2f}", ratio,
                     targets.get(subject, ""), f"{cost['peak_mib']:,.0f}", f"{cost['loaded_mib']:,.0f}"])  # fmt: skip
    return rows


HEADS = ["subject", "specimens", "s", "CPU s", "times the engine's", "target", "peak MiB", "MiB before the call"]


def agreement(said: dict[str, Any]) -> str:
    """What the answers have in common, in sentences."""
    lines = [f"Of all specimens {said['covered']:.1%} are covered ({said['by_one']:,} by one paper alone); "
             f"verdicts of the engine: {', '.join(f'{k} {v:,}' for k, v in said['verdicts'].items())}."]  # fmt: skip
    for peer in ("a", "b"):
        if peer in said:
            lines.append(f'Peer {peer.upper()} differs from "covered by one paper" for {said[peer]:,} specimens.')
    if "c" in said:
        c = said["c"]
        lines.append(f"Peer C differs from the engine in the verdict of {c['verdict']:,}, the codes of {c['codes']:,}, "
                     f"the measures of {c['measures']:,} and the paper of {c['paper']:,} specimens; "
                     f"for {c['ties']:,} more they name different papers for the same reasons, measures within the "
                     "tolerance.")  # fmt: skip
        if c["verdict"] or c["codes"] or c["measures"]:
            lines += [f"- {text}" for example in c["examples"] for text in example]
    return "\n".join(lines)


def growth_table(bench: Bench) -> str:
    """Seconds of the engine by number of specimens, and the line through them."""
    seconds = {n: bench.costs(bench.world(n), ["engine"])["engine"] for n in bench.args.growth}
    rows = [[f"{n:,}", f"{c['seconds']:.2f}", f"{c['seconds'] / n * 1e6:.2f}", f"{c['peak_mib']:,.0f}"]
            for n, c in seconds.items()]  # fmt: skip
    fixed, slope = line_through({n: c["seconds"] for n, c in seconds.items()})
    return (table(["specimens", "s", "s a million", "peak MiB"], rows) + "\n\n"
            f"Least squares: {fixed:.2f} s once (dates, geometry and names of the distinct pairs) "
            f"and {slope * 1e6:.2f} s a million specimens.")  # fmt: skip


def line_through(points: dict[int, float]) -> tuple[float, float]:
    """(intercept, slope) of the least-squares line."""
    count, mean_x, mean_y = len(points), sum(points) / len(points), sum(points.values()) / len(points)
    spread = sum((x - mean_x) ** 2 for x in points)
    slope = sum((x - mean_x) * (y - mean_y) for x, y in points.items()) / spread if count > 1 else 0.0
    return mean_y - slope * mean_x, slope


def report(args: argparse.Namespace, directory: Path) -> Iterable[str]:
    bench, answers = Bench(args, directory), directory / "answers"
    answers.mkdir()
    yield (f"Machine: {machine(*PACKAGES)}.\n{args.events:,} events, {args.papers} papers, {args.taxa:,} taxa; "
           f"best of {args.turns} turns, subjects in turn, each in a process of its own.")  # fmt: skip
    costs = bench.costs(bench.world(args.specimens), args.subjects, keep=answers)
    targets = {"a": "at least 50", "b": "at least 1", "c": "at least 5"}
    rows = peer_rows(costs, args.specimens, targets)
    said = in_child("tests.bench.compare", answers)
    if args.large_subjects:
        large = bench.costs(bench.world(args.large), args.large_subjects)
        rows += peer_rows(large, args.large, {"b": "more than 1", "c": "at least 5"})
    yield table(HEADS, rows)
    yield agreement(said)
    if not args.no_uniform:
        uniform = bench.costs(bench.world(args.specimens, "uniform"), ["b", "c", "engine"])
        yield ("The hardest case for work on distinct pairs: every specimen draws its taxon alone.\n\n"
               + table(HEADS, peer_rows(uniform, args.specimens, {})))  # fmt: skip
    if args.growth:
        yield growth_table(bench)


def main() -> None:
    args = arguments()
    with tempfile.TemporaryDirectory() as directory:
        tell(report(args, Path(directory)), args.out)


if __name__ == "__main__":
    main()
