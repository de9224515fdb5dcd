"""Answers as columns, and how the versions that a date touches join: the truth table of VERDICTS, section 3."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from governance.engine.answers import NO, UNKNOWN, YES
from governance.engine.columns import MoreFindings, join_versions, unit_of, yes
from governance.engine.tables import CODES, Finding
from tests.unit.governance.engine.judging import of

ANSWERS = (YES, UNKNOWN, NO)
NAMES = {YES: "yes", UNKNOWN: "unknown", NO: "no"}
CODES_OF = {YES: "", UNKNOWN: "method-missing", NO: "method"}

RUN = {  # the least favourable answer
    ("yes", "yes"): "yes", ("yes", "unknown"): "unknown", ("yes", "no"): "no",
    ("unknown", "yes"): "unknown", ("unknown", "unknown"): "unknown", ("unknown", "no"): "no",
    ("no", "yes"): "no", ("no", "unknown"): "no", ("no", "no"): "no",
}  # fmt: skip
VAGUE = {  # all yes is yes, all no is no, everything else is unknown
    ("yes", "yes"): "yes", ("yes", "unknown"): "unknown", ("yes", "no"): "unknown",
    ("unknown", "yes"): "unknown", ("unknown", "unknown"): "unknown", ("unknown", "no"): "unknown",
    ("no", "yes"): "unknown", ("no", "unknown"): "unknown", ("no", "no"): "no",
}  # fmt: skip


@pytest.mark.parametrize(("is_run", "table"), [(True, RUN), (False, VAGUE)], ids=["run", "vague"])
def test_truth_table_of_two_versions(is_run: bool, table: dict[tuple[str, str], str]) -> None:
    for pair in itertools.product(ANSWERS, repeat=2):
        columns = []
        for answer in pair:
            column = yes(1)
            column.settle(np.array([0]), answer, CODES_OF[answer])
            columns.append(column)
        joined = join_versions(columns, is_run=is_run, more=MoreFindings(), codes=CODES)
        assert NAMES[int(joined.answer[0])] == table[NAMES[pair[0]], NAMES[pair[1]]], pair


def test_answers_order_from_best_to_worst() -> None:
    """Least favourable is the largest."""
    assert YES < UNKNOWN < NO


@pytest.mark.parametrize(
    ("date", "expected"),
    [
        ("2023-05-31/2023-06-01", ("outside", "method")),  # a run over both
        ("2023-05/2023-06", ("cannot-tell", "version-vague")),
        ("2023-06", ("outside", "method")),
        ("2023-05", ("covered",)),
    ],
)
def test_versions_that_differ(date: str, expected: tuple[str, ...]) -> None:
    versions = [{"start": "2023-05-01"}, {"start": "2023-06-01", "methods": ["hand net"]}]
    assert of({"date": date, "methods": "light trap"}, versions=versions) == expected


def test_further_findings_are_kept_once() -> None:
    more = MoreFindings()
    findings = (Finding("swapped"), Finding("sign"))
    assert more.id_of(()) == 0
    assert more.id_of(findings) == more.id_of(tuple(findings)) == 1
    assert more[1] == findings


def test_units_of_the_contract() -> None:
    """Days, metres and individuals are the only units; a code without a measure has none."""
    units = {code: unit_of(code) for code in CODES}
    assert set(units.values()) == {"", "days", "m", "individuals"}
    assert [code for code, unit in units.items() if unit == "individuals"] == ["cap-breached", "cap-possible"]
    for code in ("date-missing", "start-unknown", "swapped", "taxon-broad", "person", "radius-assumed"):
        assert units[code] == ""


def test_columns_of_nothing() -> None:
    assert len(yes(0)) == 0
    taken = yes(3).take(np.array([2, 0]))
    assert len(taken) == 2
