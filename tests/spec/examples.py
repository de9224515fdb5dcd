"""The worked examples of the help pages, made from the cases of this folder: ``python -m tests.spec.examples --write``.

Which cases become examples is a rule, not a choice by hand: for every finding code the plainest cases in which it
decides, each with its neighbour, the nearest case of the same rule that comes out otherwise; for every verdict, layer
and answer of the use desk the plainest cases that show it. What an example says (verdict, findings, measures) is what
the engine says of the case, and its sentence is the one of the engine's ``Explainer``; nothing of it is typed here.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from governance.engine.tables import CODES, Layer, Verdict
from governance.engine.uses import CODES as USE_CODES
from governance.engine.uses import Answer
from tests.spec.example_facts import of_case
from tests.spec.example_uses import Told, told_cases
from tests.spec.examples_judged import Judged, judged_cases

EXAMPLES = Path(__file__).parents[2] / "governance" / "guide" / "help" / "examples.json"

_MOST = 2
"""Examples of a code, besides their neighbours."""

Row = dict[str, Any]


def examples() -> Row:
    """All of the file: the cases by name, and which of them stand on the page of a code, verdict, layer or answer."""
    cases, told = list(judged_cases()), list(told_cases())
    findings = {code: _of_code(code, cases) for code in CODES if code}
    verdicts = {one.code: _apart(_teaching(cases, one), 3, _by_section) for one in Verdict}
    layers = {one.code: _of_layer(one, cases) for one in Layer}
    shown = [one for pair in findings.values() for many in pair.values() for one in many]
    shown += [one for many in (*verdicts.values(), *layers.values()) for one in many]
    return {
        "cases": {one.name: of_case(one) for one in sorted(shown, key=lambda one: one.name)},
        "findings": {code: {kind: _names(many) for kind, many in pair.items()} for code, pair in findings.items()},
        "verdicts": {code: _names(many) for code, many in verdicts.items()},
        "layers": {code: _names(many) for code, many in layers.items()},
        "answers": {one.code: _of_answer(one, told) for one in Answer},
    }


def written(rows: Row) -> str:
    """The text of the file of ``examples``: a line an example, so that a changed case changes its lines alone."""
    blocks = []
    for kind, of_kind in rows.items():
        lines = [f"  {json.dumps(key)}: {json.dumps(row, ensure_ascii=False)}" for key, row in of_kind.items()]
        blocks.append(f" {json.dumps(kind)}: {{\n" + ",\n".join(lines) + "\n }")
    return "{\n" + ",\n".join(blocks) + "\n}\n"


def _names(cases: Iterable[Judged]) -> list[str]:
    return [one.name for one in cases]


def _of_code(code: str, cases: Sequence[Judged]) -> dict[str, list[Judged]]:
    """The plainest cases in which the code comes first, else comes at all; and the neighbours of them."""
    of_code = [one for one in cases if code in one.codes]
    first = [one for one in of_code if one.codes[0] == code]
    given = _apart(first or of_code, _MOST, lambda one: one.rule)
    beside: dict[str, Judged] = {}
    for one in given:
        for neighbour in _neighbour(one, code, cases):
            beside[neighbour.name] = neighbour
    return {"given": given, "beside": list(beside.values())}


def _of_layer(layer: Layer, cases: Sequence[Judged]) -> list[Judged]:
    """One that is covered and one that needs a look."""
    of_layer = [one for one in cases if one.layer is layer]
    open_ones = [one for one in of_layer if one.verdict >= Verdict.CANNOT_TELL]
    return [
        one
        for many in (_teaching(of_layer, Verdict.COVERED), open_ones)
        for one in _apart(many, 1, lambda one: one.rule)
    ]


def _teaching(cases: Iterable[Judged], verdict: Verdict) -> list[Judged]:
    """Those with the verdict whose papers say something, "no limit" teaches little; or that is of no paper, without."""
    found = [one for one in cases if one.verdict is verdict]
    if verdict in (Verdict.NOT_REQUIRED, Verdict.MISSING):
        return [one for one in found if not any(one.papers)]
    return [one for one in found if any(one.papers)]


def _apart(cases: Iterable[Judged], most: int, by: Callable[[Judged], str]) -> list[Judged]:
    """The plainest, no two of them alike in what ``by`` tells."""
    kept: dict[str, Judged] = {}
    for one in sorted(cases, key=lambda one: one.plainness):
        kept.setdefault(by(one), one)
    return list(kept.values())[:most]


def _by_section(one: Judged) -> str:
    """Sections of tests; where no paper is tested, the rule."""
    return one.rule if one.section == "7" else one.section


def _neighbour(given: Judged, code: str, cases: Sequence[Judged]) -> list[Judged]:
    """The nearest case of the same rule that does not have the code, of the same papers if there is one."""
    others = [one for one in cases if one.rule == given.rule and code not in one.codes]
    others.sort(
        key=lambda one: (
            one.papers != given.papers, one.is_drawn, len(one.rows), abs(one.place - given.place), one.place,
        )
    )  # fmt: skip
    return others[:1]


def _of_answer(answer: Answer, told: Sequence[Told]) -> list[Row]:
    """For every reason that decides with this answer, the plainest case, in the order of the codes."""
    found = []
    for code in USE_CODES:
        of_code = [one for one in told if one.answer is answer and code in one.deciding]
        if of_code:
            found.append(min(of_code, key=lambda one: one.plainness).row(code))
    return found


def main(arguments: Sequence[str]) -> int:
    """Write the file with ``--write``; without it, say whether it is as the tables have it."""
    text = written(examples())
    if list(arguments) == ["--write"]:
        EXAMPLES.write_text(text, "utf-8")
        return 0
    is_so = EXAMPLES.exists() and EXAMPLES.read_text("utf-8") == text
    sys.stdout.write("as the tables have it\n" if is_so else "not as the tables have it: run it with --write\n")
    return 0 if is_so else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
