"""A bench of field plans that reads no database: papers, rules and outlines of a test, and no specimens on file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from functools import partial
from typing import Any

import numpy as np
import pytest

from governance.engine import assess
from governance.engine.tables import HouseRules, Material, Outlines, Paper, Requirements, SearchState, Specimens
from governance.engine.taxa import Classification
from governance.papers.queries import Links
from governance.plans import judging
from governance.plans.judging import Bench, PapersOfPlan
from governance.plans.planned_rows import PlannedRow
from governance.verdicts.feed import Feed
from governance.verdicts.feed.papers import FedPapers
from governance.verdicts.feed.rules import House
from tests.factories.engine import a_material


def a_bench(
    monkeypatch: pytest.MonkeyPatch,
    papers: Sequence[Paper],
    requirements: Requirements,
    outlines: Outlines = Outlines(),  # noqa: B008  (frozen)
    house: HouseRules = HouseRules(),  # noqa: B008  (frozen)
    *,
    names: Sequence[str] = (),
    rows: Sequence[PlannedRow] = (),
    percent: int | None = None,
) -> Bench:
    """A bench. names: lineages that the register knows, as ``a_lineage`` reads them. rows: those that are planned."""
    ids = tuple(range(1, len(papers) + 1))
    starts = {id(version): version.from_day for paper in papers for version in paper.versions}
    fed = FedPapers(tuple(papers), ids, starts, tuple(papers))
    bench = Bench(PapersOfPlan(dict.fromkeys(ids, frozenset()), {pk: Links() for pk in ids}, fed), others=rows)
    material = without_specimens(a_material([{"taxon": name} for name in names] or [{}]))
    nothing: Any = ()
    bench.__dict__["_feed"] = Feed(
        nothing, material, Classification(material.taxa), fed, requirements, House(house, percent)
    )
    monkeypatch.setattr(judging, "outlines", lambda: outlines)
    return bench


def searched(monkeypatch: pytest.MonkeyPatch, state: SearchState) -> None:
    """What is said where a layer has no paper, as if somebody had searched."""
    monkeypatch.setattr(judging, "assess", partial(assess, search_state=state))


def without_specimens(material: Material) -> Material:
    """The same tables, and nothing that points at them."""
    specimens = material.specimens
    none = {field.name: np.zeros(0, getattr(specimens, field.name).dtype) for field in fields(specimens)}
    return replace(material, specimens=Specimens(**none), events=[], accessions=[], catalog_numbers=[])
