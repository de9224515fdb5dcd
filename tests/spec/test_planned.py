"""The contract's sections 2 to 7 hold for stops as for specimens: the rows of these tables, planned.

Each case that a plan can say (``planned_cases``) becomes a stop, goes through the bench of plans, and must come out
with the verdict, the findings and the measures that the table expects of the specimen. It cannot show what a plan reads
from the register (tests/integration/plans).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from governance.engine.tables import HouseRules, Layer, LayerVerdict, SearchState
from governance.plans.judging import Answer
from governance.plans.planned_rows import PlannedRow
from tests.factories.benches import a_bench, searched
from tests.factories.engine import some_outlines, some_requirements
from tests.spec.planned_cases import ONLY_OF_SPECIMENS, lineages, rows_of
from tests.spec.test_spec import CASES, Case, _paper, differences, written

PLANNED = {str(case): (case, rows) for case in CASES if not isinstance(rows := rows_of(case.rule), str)}
NOT_PLANNED = {str(case): why for case in CASES if isinstance(why := rows_of(case.rule), str)}


def judged(case: Case, rows: list[PlannedRow], monkeypatch: pytest.MonkeyPatch) -> list[LayerVerdict]:
    rule = case.rule
    layer = rule.get("layer", "collecting")
    papers = [_paper(row, number, layer) for number, row in enumerate(rule.get("papers", [{}]))]
    searched(monkeypatch, SearchState[rule.get("search", "not-searched").upper().replace("-", "_")])
    bench = a_bench(
        monkeypatch, papers, some_requirements(layer, rule.get("rules"), rule.get("decided", ())),
        some_outlines(rule.get("countries"), rule.get("subdivisions")), HouseRules(**rule.get("house", {})),
        names=lineages(rule), rows=rows,
    )  # fmt: skip
    return [spelled_out(answers[0]) for answers in bench.judge(rows, [Layer.from_code(layer)])]


def spelled_out(answer: Answer) -> LayerVerdict:
    """Papers are numbered from 1 in the bench, from 0 in the tables."""
    return LayerVerdict(
        answer.verdict, tuple(used.pk - 1 for used in answer.papers), tuple(used.versions for used in answer.papers),
        tuple(finding for finding, _ in answer.findings),
    )  # fmt: skip


@pytest.mark.parametrize("name", PLANNED)
def test_row_holds_for_a_stop(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    case, rows = PLANNED[name]
    expected = case.rule["expect"]
    found = judged(case, rows, monkeypatch)
    if not isinstance(expected, list):
        found, expected = found[:1], [expected]
    for got, wanted in zip(found, expected, strict=True):
        problems = list(differences(got, str(wanted)))
        assert not problems, f"{case}: expected {wanted}; planned {written(got)}; {problems}"
    if "named" in case.rule:
        references = case.references()
        assert " | ".join(references[number] for number in found[0].papers) == case.rule["named"], case


def test_every_section_is_planned() -> None:
    """Enough of each table, else the test above would say little; each reason for leaving cases out is met."""
    by_table = Counter(name.partition(" - ")[0] for name in PLANNED)
    assert len(PLANNED) >= len(CASES) // 2
    assert {table.partition("_")[2][:1] for table in by_table} >= {"2", "3", "4", "5", "6"}
    assert min(by_table.values()) >= 15, by_table
    reasons = {why.partition(":")[0] for why in NOT_PLANNED.values()}
    assert set(ONLY_OF_SPECIMENS) - {"event", "accession", "catalog", "centre"} <= reasons


def test_a_wrong_plan_would_be_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """The comparison can fail: a stop a day after the paper's end is not what the row of its last day expects."""
    case, rows = next(
        (case, rows)
        for case, rows in PLANNED.values()
        if case.rule["expect"] == "outside: after-end 1 days" and "layer" not in case.rule
    )
    (row,) = rows
    assert row.first_on is not None
    earlier = replace(row, first_on=row.first_on.replace(year=1900), last_on=row.first_on.replace(year=1900))
    assert list(differences(judged(case, [earlier], monkeypatch)[0], case.rule["expect"]))
