"""What a check found, in short: specimens by layer and verdict, and the findings that matter most, in sentences."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

import numpy as np

from governance.engine import Finding, Outcomes, Verdict
from governance.engine.tables import NO_CODES
from governance.verdicts.caution import CAUTION
from governance.verdicts.check import Check

VERDICT_WORDS = {
    Verdict.COVERED: "covered",
    Verdict.NOT_REQUIRED: "not required",
    Verdict.CANNOT_TELL: "cannot tell",
    Verdict.STRADDLES: "straddles",
    Verdict.OUTSIDE: "outside terms",
    Verdict.MISSING: "no paper on file",
}


_TABLE_WIDTH = 100
"""Where no terminal says how wide it is."""


def layer_counts(check: Check) -> list[list[Any]]:
    """A table of specimens: a header, a row a layer, and the specimens by their worst layer."""
    rows: list[list[Any]] = [["layer", *VERDICT_WORDS.values()]]
    for column, layer in enumerate(check.assessment.layers):
        rows.append([layer.code, *_counts(check.assessment.verdict[:, column])])
    rows.append(["specimens", *_counts(check.assessment.worst())])
    return rows


def _counts(verdicts: np.ndarray) -> list[int]:
    return [int(n) for n in np.bincount(verdicts, minlength=len(Verdict))]


def main_findings(check: Check, most: int = 5) -> list[str]:
    """The findings that matter most, each as a count, a layer, an example and its sentence.

    Worst verdict first, then most specimens: findings are gathered by layer, paper and code; covered layers have none.
    """
    groups: Counter[tuple[int, int, str, str]] = Counter()
    example: dict[tuple[int, int, str, str], tuple[int, int]] = {}
    for column, outcomes in enumerate(check.assessment.outcomes):
        size = np.bincount(check.assessment.outcome[:, column], minlength=len(outcomes))
        papers = [_references(check, outcomes, numbers) for numbers in outcomes.edition_sets]
        for outcome in np.flatnonzero((outcomes.verdict > Verdict.NOT_REQUIRED) & (size > 0)).tolist():
            code = _main(outcomes.findings(outcome)).code
            key = (-int(outcomes.verdict[outcome]), column, papers[outcomes.editions[outcome]], code)
            groups[key] += int(size[outcome])
            example.setdefault(key, (column, outcome))
    ranked = sorted(groups, key=lambda key: (key[0], -groups[key], key[1:]))
    return [_line(check, groups[key], *example[key]) for key in _varied(ranked, most)]


def _references(check: Check, outcomes: Outcomes, editions: tuple[int, ...]) -> str:
    return " | ".join(check.papers[outcomes.edition_table[number].paper].reference for number in editions)


def _varied(ranked: list[tuple[int, int, str, str]], most: int) -> list[tuple[int, int, str, str]]:
    """The first of each verdict and code before a second one: five lines should say five things."""
    seen: Counter[tuple[int, str]] = Counter()
    order = []
    for place, key in enumerate(ranked):
        order.append((seen[key[0], key[3]], place, key))
        seen[key[0], key[3]] += 1
    return [key for _, _, key in sorted(order)][:most]


def _line(check: Check, count: int, column: int, outcome: int) -> str:
    sentences = dict(check.explainer.one(column, outcome))
    row = int(np.flatnonzero(check.assessment.outcome[:, column] == outcome)[0])
    catalog = check.table.columns.get("catalogNumber")
    name = (catalog[row] if catalog else "") or f"row {row + 1}"
    noun = "specimen" if count == 1 else "specimens"
    layer = check.assessment.layers[column].code
    return f"{count:,} {noun}, {layer}: {sentences[_main(list(sentences))]} (first: {name})"


def _main(findings: Sequence[Finding]) -> Finding:
    """The finding that decided: the first that is a no, else the first."""
    return next((finding for finding in findings if finding.code in NO_CODES), findings[0] if findings else Finding(""))


def print_summary(check: Check, console: Any) -> None:
    """The table, the findings and the caution, on a rich console."""
    if not check.assessment.layers:
        console.print("No layer was judged: there is no paper. Name layers with --require to list what is missing.")
        return
    title = f"Specimens by layer and verdict: {check.table.row_count:,} in {check.table.file}"
    console.print(verdict_table(title, layer_counts(check), console))
    console.print("A specimen counts under the worst of its layers; not required is no fault.", highlight=False)
    findings = main_findings(check)
    if findings:
        console.print("\nWhat needs a look first:")
        for line in findings:
            console.print(f"  - {line}", markup=False, highlight=False, soft_wrap=True)
    console.print(f"\n{CAUTION}", highlight=False, soft_wrap=True)


def verdict_table(title: str, counts: list[list[Any]], console: Any) -> Any:
    """A table for a rich console, which is made wide enough: a header, a row a layer, and the specimens."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table

    console.width = max(console.width, _TABLE_WIDTH) if not console.is_terminal else console.width
    header, *rows = counts
    table = Table(title=title, title_style="bold", title_justify="left", box=SIMPLE_HEAD)
    table.add_column(header[0], no_wrap=True, min_width=14)
    for name in header[1:]:
        table.add_column(name, justify="right", min_width=max(map(len, name.split())))
    for row in rows:
        if row[0] == "specimens":
            table.add_section()
        table.add_row(row[0], *(f"{n:,}" if n else "." for n in row[1:]))
    return table
