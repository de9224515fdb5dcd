"""One specimen under one paper, judged by the engine: what most tests of a single question need."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from governance.engine import HouseRules, LayerVerdict, Outlines, assess, unfold
from governance.engine.tables import Paper
from tests.factories.engine import a_material, a_paper, some_requirements

Row = Mapping[str, Any]


def judged(rows: Sequence[Row], papers: Sequence[Paper], layer: str = "collecting", **more: Any) -> list[LayerVerdict]:
    """The verdicts of some specimens on one layer, in their order."""
    outlines, house = more.get("outlines", Outlines()), more.get("house", HouseRules())
    assessment = assess(a_material(rows), papers, some_requirements(layer), outlines, house)
    return [next(iter(verdicts.values())) for verdicts in unfold(assessment)]


def told(verdict: LayerVerdict) -> tuple[str, ...]:
    """The verdict and its findings, as words: ("outside", "after-end")."""
    return (verdict.verdict.code, *(finding.code for finding in verdict.findings if finding.code))


def measured(verdict: LayerVerdict) -> tuple[str, float | None, float | None]:
    """Code, measure and what it is held against, of the only finding."""
    (finding,) = verdict.findings
    return finding.code, finding.measure, finding.against


def of(row: Row, **paper: Any) -> tuple[str, ...]:
    """One specimen under one paper, as words."""
    return told(judged([row], [a_paper(**paper)])[0])


def measure_of(row: Row, **paper: Any) -> tuple[str, float | None, float | None]:
    """One specimen under one paper: its only finding, with its numbers."""
    return measured(judged([row], [a_paper(**paper)])[0])
