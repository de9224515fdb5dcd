"""Every row of the tables of the use desk (tests/spec/uses), by the engine of answers and by its twin.

Expected answers come from the trade and from the treaties by hand; each rule names its source, or says that it has
none. The tables show that the implementations say what we read in the sources; they cannot show that we read them
rightly.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from governance.engine.uses import CODES, Answer, Case, Holding, PaperTerms, Question, Use, answer, reference
from tests.spec.uses_cases import UseCase, use_cases, written

Judge = Callable[[Sequence[PaperTerms], Holding, Question], list[Case]]


def by_engine(papers: Sequence[PaperTerms], holding: Holding, question: Question) -> list[Case]:
    answers = answer(papers, holding, question)
    return [answers.cases[row] for row in answers.case.tolist()]


JUDGES: dict[str, Judge] = {"engine": by_engine, "twin": reference.answer}
CASES = list(use_cases())
SOURCES = (
    "Nagoya Protocol, Art. 2(c)", "Nagoya Protocol, Art. 6(3)(g)(iii)", "Nagoya Protocol, Art. 6(3)(g)(iv)",
    "CITES, Art. VII(6)", "GGBN Data Standard, loan vocabulary (blocked, blockedUntil, loanConditions), from memory",
    "common practice, no source",
)  # fmt: skip


@pytest.mark.parametrize("judge", JUDGES.values(), ids=JUDGES)
@pytest.mark.parametrize("case", CASES, ids=str)
def test_row(case: UseCase, judge: Judge) -> None:
    told = judge(*case.arguments())[0]
    assert written(told) == case.expected, f"{case}: {told.findings}"


def test_every_row_has_a_source() -> None:
    assert {case.row["source"] for case in CASES} == set(SOURCES)


def test_tables_hold_every_use_answer_and_code() -> None:
    """A table that is not found or not read must not pass in silence; nor a code that no row shows."""
    assert len({str(case) for case in CASES}) == len(CASES) >= 120
    asked = {word for case in CASES for word in case.row["use"].split()}
    told = {case.expected.partition(":")[0] for case in CASES}
    shown = {reason.split()[0] for case in CASES for reason in case.expected.partition(": ")[2].split("; ")}
    assert told == {one.code for one in Answer}
    assert asked == {use.code for use in Use}
    assert shown == set(CODES)


@pytest.mark.parametrize("wrong", ["allowed: ask A", "ask-first: ask B", "ask-first: ask A; ask B", "silent: silent A"])
def test_a_wrong_row_would_be_seen(wrong: str) -> None:
    """The comparison itself: another answer, paper or code, or one reason more, is a difference."""
    case = next(case for case in CASES if case.expected == "ask-first: ask A")
    assert written(by_engine(*case.arguments())[0]) != wrong
