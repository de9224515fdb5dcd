"""The engine of answers and its slow twin say the same of whole generated desks: answers, reasons, and their order.

Agreement shows that two readings of decision record 6, written apart, are one. It cannot show that the reading is
right: that is for the table of cases (tests/spec/uses) and for people.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

from hypothesis import Phase, find, given, settings
from hypothesis.errors import NoSuchExample

from governance.engine.uses import CODES, Answer, Case, answer, reference
from tests.generative.desks import Desk, desks

more = settings(max_examples=max(150, settings.default.max_examples))  # type: ignore[union-attr]


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


@settings(max_examples=100)
@given(desk=desks())
def test_an_answer_is_the_strictest_of_its_reasons(desk: Desk) -> None:
    """Whatever is told, it is told once, with codes that the rooms have words for, and the first decides."""
    for case in answered(desk):
        assert case.answer == case.findings[0].answer == max(finding.answer for finding in case.findings)
        assert len(set(case.findings)) == len(case.findings)
        assert {finding.code for finding in case.findings} <= set(CODES)
        assert {finding.use for finding in case.findings} == {asked.use for asked in desk.question.uses}


def told(desk: Desk) -> Iterator[str]:
    for case in answered(desk):
        yield from (finding.code for finding in case.findings)
        yield f"answer {case.answer.code}"
        yield f"word {case.word.code}"


def test_every_code_occurs() -> None:
    """Each code and each answer is given on some desk, else agreement would say nothing of it."""
    quick = settings(max_examples=3000, phases=[Phase.generate], database=None, deadline=None, derandomize=True)
    missing = {*CODES, *(f"answer {one.code}" for one in Answer), *(f"word {one.code}" for one in Answer)}

    def is_last(desk: Desk) -> bool:
        missing.difference_update(told(desk))
        return not missing

    with suppress(NoSuchExample):
        find(desks(), is_last, settings=quick)
    assert not missing, f"never told: {sorted(missing)}"
