"""The engine of answers and its slow twin say the same of whole generated desks: answers, reasons, and their order.

Agreement shows that two readings of decision record 6, written apart, are one. It cannot show that the reading is
right: that is for the table of cases (tests/spec/uses), where every code stands, and for people.
"""

from __future__ import annotations

from hypothesis import given, settings

from governance.engine.uses import CODES, Case, answer, reference
from tests.generative.desks import Desk, desks

more = settings(max_examples=max(100, settings.default.max_examples))  # type: ignore[union-attr]


def answered(desk: Desk) -> list[Case]:
    answers = answer(*desk)
    return [answers.cases[row] for row in answers.case.tolist()]


@more
@given(desk=desks())
def test_engine_and_twin_agree(desk: Desk) -> None:
    fast, slow = answered(desk), reference.answer(*desk)
    assert len(fast) == len(slow) == len(desk.holding.asked)
    for row, (one, other) in enumerate(zip(fast, slow, strict=True)):
        assert one == other, f"asked {row}:\nengine {one}\ntwin   {other}"


@given(desk=desks())
def test_an_answer_is_the_strictest_of_its_reasons(desk: Desk) -> None:
    """Whatever is told, it is told once, with codes that the rooms have words for, and the first decides."""
    for case in answered(desk):
        assert case.answer == case.findings[0].answer == max(finding.answer for finding in case.findings)
        assert len(set(case.findings)) == len(case.findings)
        assert {finding.code for finding in case.findings} <= set(CODES)
        assert {finding.use for finding in case.findings} == {asked.use for asked in desk.question.uses}
