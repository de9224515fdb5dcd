"""Makes the files of ``run_files``, and reads their cells in the barest way, each in a process of its own.

python -m tests.bench.files_subject make DIRECTORY ROWS PAPERS xlsx|csv
python -m tests.bench.files_subject read READER FILE
"""

from __future__ import annotations

import csv
import dataclasses
import importlib
import json
import sys
from collections.abc import Callable
from pathlib import Path

from .measure import timed


def calamine(path: Path) -> int:
    from python_calamine import CalamineWorkbook

    return len(CalamineWorkbook.from_path(str(path)).get_sheet_by_index(0).to_python())


def polars_excel(path: Path) -> int:
    import polars

    return polars.read_excel(path, infer_schema_length=0).height


def polars_csv(path: Path) -> int:
    import polars

    return polars.read_csv(path, infer_schema=False).height


def stdlib_csv(path: Path) -> int:
    with path.open(encoding="utf-8", newline="") as file:
        return len(list(csv.reader(file)))


READERS: dict[str, Callable[[Path], int]] = {
    "calamine": calamine, "polars.read_excel": polars_excel, "polars.read_csv": polars_csv, "csv.reader": stdlib_csv,
}  # fmt: skip
MODULES = {"calamine": ("python_calamine",), "polars.read_excel": ("polars", "fastexcel"),
           "polars.read_csv": ("polars",), "csv.reader": ("csv",)}  # fmt: skip


def make(directory: Path, rows: int, papers: int, kind: str) -> None:
    from .specimen_files import write_csv, write_papers, write_xlsx
    from .world import Size, make_world

    world = make_world(Size(rows, min(2_000, rows), papers, min(5_000, max(100, rows // 20))))
    write_papers(world, directory / f"papers-{rows}.json")
    (write_xlsx if kind == "xlsx" else write_csv)(world, directory / f"specimens-{rows}.{kind}")


def main(words: list[str]) -> None:
    if words[0] == "make":
        make(Path(words[1]), int(words[2]), int(words[3]), words[4])
        print(json.dumps({}))
        return
    for module in MODULES[words[1]]:
        importlib.import_module(module)
    rows, cost = timed(lambda: READERS[words[1]](Path(words[2])))
    print(json.dumps({"rows": rows, **dataclasses.asdict(cost)}))


if __name__ == "__main__":
    main(sys.argv[1:])
