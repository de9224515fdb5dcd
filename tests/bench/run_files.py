"""Measures ``manage.py check_files`` against the bare reading of the cells, and prints Markdown tables.

    uv run --group bench python -m tests.bench.run_files
    uv run --group bench python -m tests.bench.run_files --rows 5000 --growth 5000 10000

The whole command is timed, start of the interpreter, papers and output included; of the readers the call alone.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path

from .measure import ROOT, Cost, in_child, machine, of_command, table, tell
from .run import line_through

PACKAGES = ("django", "numpy", "shapely", "python-calamine", "openpyxl", "polars", "fastexcel")
READERS = {"xlsx": ("calamine", "polars.read_excel"), "csv": ("polars.read_csv", "csv.reader")}
TARGETS = {"xlsx": 3, "csv": 4}


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rows", type=int, default=100_000)
    parser.add_argument("--growth", type=int, nargs="*", default=[100_000, 300_000, 1_000_000])
    parser.add_argument("--papers", type=int, default=12, help="papers in the papers file")
    parser.add_argument("--turns", type=int, default=2)
    parser.add_argument("--out", type=Path, help="write the tables to this file too")
    return parser.parse_args()


class Files:
    """The files on disk, and what it costs to check and to read them."""

    def __init__(self, args: argparse.Namespace, directory: Path) -> None:
        self.args, self.directory = args, directory

    def made(self, rows: int, kind: str) -> Path:
        path = self.directory / f"specimens-{rows}.{kind}"
        if not path.exists():
            in_child("tests.bench.files_subject", "make", self.directory, rows, self.args.papers, kind)
        return path

    def checked(self, rows: int, kind: str) -> Cost:
        """The whole command; the turn of least seconds."""
        specimens = self.made(rows, kind)
        words = ["check_files", specimens, "--papers", self.directory / f"papers-{rows}.json",
                 "--out", self.directory / "verdicts.csv"]  # fmt: skip
        command = [sys.executable, str(ROOT / "manage.py"), *map(str, words)]
        return min((of_command(command, ROOT) for _ in range(self.args.turns)), key=lambda cost: cost.seconds)

    def read(self, rows: int, kind: str, reader: str) -> float:
        path = self.made(rows, kind)
        turns = (in_child("tests.bench.files_subject", "read", reader, path) for _ in range(self.args.turns))
        return min(float(turn["seconds"]) for turn in turns)


def reading_table(files: Files, rows: int) -> str:
    lines = []
    for kind, readers in READERS.items():
        cost = files.checked(rows, kind)
        seconds = {reader: files.read(rows, kind, reader) for reader in readers}
        lines.append([f"check_files, {kind}", f"{cost.seconds:.2f}", "", "", f"{cost.peak_mib:,.0f}", "under 1,024"])
        fastest = min(seconds, key=lambda reader: seconds[reader])
        for reader, spent in seconds.items():
            target = f"at most {TARGETS[kind]}" if reader == fastest else ""
            lines.append([f"- cells by {reader}", f"{spent:.2f}", f"{cost.seconds / spent:.1f}", target, "", ""])
    heads = ["100,000 rows x 25 columns".replace("100,000", f"{rows:,}"), "s", "check_files / reading", "target",
             "peak MiB", "target"]  # fmt: skip
    return table(heads, lines)


def growth_table(files: Files) -> str:
    costs = {rows: files.checked(rows, "csv") for rows in files.args.growth}
    lines = [[f"{rows:,}", f"{c.seconds:.2f}", f"{c.seconds / rows * 1e6:.1f}", f"{c.peak_mib:,.0f}",
              "under 3,072" if rows == 1_000_000 else ""] for rows, c in costs.items()]  # fmt: skip
    fixed, slope = line_through({rows: c.seconds for rows, c in costs.items()})
    return (table(["CSV rows", "s", "s a million", "peak MiB", "target"], lines) + "\n\n"
            f"Least squares: {fixed:.2f} s once and {slope * 1e6:.1f} s a million rows.")  # fmt: skip


def report(args: argparse.Namespace, directory: Path) -> Iterable[str]:
    files = Files(args, directory)
    yield (f"Machine: {machine(*PACKAGES)}.\n{args.papers} papers; best of {args.turns} turns; the whole command "
           "against the bare call of the reader.")  # fmt: skip
    yield reading_table(files, args.rows)
    if args.growth:
        yield growth_table(files)
    start = files.checked(10, "csv")
    yield f"Start-up: `check_files` on 10 rows: {start.seconds:.2f} s (target: under 2 s), {start.peak_mib:,.0f} MiB."


def main() -> None:
    args = arguments()
    with tempfile.TemporaryDirectory() as directory:
        tell(report(args, Path(directory)), args.out)


if __name__ == "__main__":
    main()
