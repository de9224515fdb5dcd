"""The demo: the invented Lindmark Museum's specimens held against its papers."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

from governance.engine import HouseRules, Layer, Rule
from governance.verdicts.check import Check, check_files
from governance.verdicts.summary import print_summary
from governance.verdicts.workbook import write_xlsx
from governance.verdicts.writing import write_csv

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


def run(*, out_dir: Path) -> Check:
    """Judge the demo files, print the summary, write the verdicts as CSV and XLSX."""
    from rich.console import Console

    check = check_files(
        FIXTURES / "lindmark_specimens.csv",
        FIXTURES / "lindmark_papers.json",
        house=HouseRules(),
        require=tuple(Layer),
        rules=read_rules(FIXTURES / "lindmark_rules.json"),
    )
    out_dir.mkdir(parents=True, exist_ok=True)
    console = Console()
    print_summary(check, console)
    for name, write in (("verdicts.csv", write_csv), ("verdicts.xlsx", write_xlsx)):
        write(check, out_dir / name)
        console.print(f"Written: {out_dir / name}", highlight=False, soft_wrap=True)
    return check


def read_rules(path: Path) -> tuple[Rule, ...]:
    """The invented requirement rules of the demo."""
    return tuple(_rule(row) for row in json.loads(path.read_text(encoding="utf-8")))


def _rule(row: dict[str, Any]) -> Rule:
    layer = Layer.from_code(row["layer"])
    return Rule(layer, row["required"], row["source"], row["country"], _day(row["from"]), _day(row["to"]))


def _day(text: str | None) -> int | None:
    return None if text is None else date.fromisoformat(text).toordinal()
