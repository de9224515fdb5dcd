"""Cells of CSV files: text that a spreadsheet program would run is disarmed, numbers stay numbers.

Which first characters start a formula: OWASP, "CSV Injection".
"""

from __future__ import annotations

import pytest

from accessions.people.csv_answers import csv_answer


def line_of(*cells: str | None) -> str:
    answer = csv_answer("list.csv", ["a"], [cells])
    whole = b"".join(answer).decode("utf-8-sig")  # type: ignore[arg-type]  # it streams in this thread
    return whole.splitlines()[1]


@pytest.mark.parametrize("cell", ["-43.903", "-7", "-0.5", "43.903", "plain words"])
def test_stays_as_it_is(cell: str) -> None:
    assert line_of(cell, None) == f"{cell},"


@pytest.mark.parametrize(
    "cell", ["=1+1", "+49 30", "-1+1", "-43.903\n=1", "-", "-.5", "-1e3", "@SUM(A1)", "\t=1", "-٣"]
)
def test_is_disarmed(cell: str) -> None:
    assert line_of(cell).lstrip('"').startswith(f"'{cell[0]}")
