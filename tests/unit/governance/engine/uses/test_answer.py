"""Answers for material: inheritance, counting, footing, the way there, and what is refused.

Expected answers: decision record 6; counts by hand.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from governance.engine.tables import NONE, EngineError, Verdict
from governance.engine.uses import (
    CODES,
    MAY_GO,
    OPEN_GATE,
    STAYS,
    TRAVELS,
    Answer,
    Answers,
    Asked,
    Case,
    Finding,
    Holding,
    Listed,
    PaperTerms,
    Policy,
    Question,
    Replied,
    Said,
    Term,
    Tri,
    Use,
    VersionTerms,
    Way,
    WayCode,
    answer,
    holding_of,
    may_go,
    reference,
    verdict_code,
)
from governance.engine.uses.counted import specimens_under
from governance.engine.uses.inherited import Inherited

DAY = 738_000
LOAN = Use.LOAN_AT_HOME
COVERED = int(Verdict.COVERED)
A, B, BOTH, NEITHER = frozenset({0}), frozenset({1}), frozenset({0, 1}), frozenset[int]()
EVERY_USE = {use: Term(Said.ALLOWED) for use in Use}


def a_paper(terms: dict[Use, Term] | None = None, reference: str = "A") -> PaperTerms:
    return PaperTerms(reference, "other", (VersionTerms(None, EVERY_USE if terms is None else terms),))


PAPERS = [a_paper(), a_paper({use: Term(Said.ASK_FIRST) for use in Use}, "B")]


def answers(holding: Holding, *uses: Use, papers: list[PaperTerms] = PAPERS, **more: Any) -> list[str]:
    """The answers of the engine, which the twin must give too."""
    facts = {key: more.pop(key) for key in ("country", "commercial") if key in more}
    question = Question([Asked(use, DAY, **facts) for use in uses or (LOAN,)], **more)
    told = answer(papers, holding, question)
    assert [told.cases[row] for row in told.case.tolist()] == reference.answer(papers, holding, question)
    return [one.code for one in told.answers()]


# ------------------------------------------------------------------------------------------------------- nothing, one


def test_nothing_asked_is_an_error() -> None:
    with pytest.raises(EngineError, match="name at least one use"):
        Question([])


def test_no_material_has_no_answers() -> None:
    assert answers(holding_of([], [])) == []
    assert answers(holding_of([A], [COVERED], asked=[])) == []
    assert may_go(answer(PAPERS, holding_of([], []), Question([Asked(LOAN, DAY)]))) == 0


def test_material_without_papers_is_silent_not_allowed() -> None:
    assert answers(holding_of([NEITHER], [COVERED]), papers=[]) == ["silent"]


def test_answers_stand_in_the_order_of_the_question() -> None:
    holding = holding_of([A, B, A], [COVERED] * 3, asked=[1, 0, 2, 1])
    assert answers(holding) == ["ask-first", "allowed", "allowed", "ask-first"]


def test_may_go_counts_specimens() -> None:
    told = answer(PAPERS, holding_of([A, B, A], [COVERED] * 3), Question([Asked(LOAN, DAY)]))
    assert (may_go(told), len(told.cases)) == (2, 2)


# ------------------------------------------------------------------------------------------------------- inheritance


def test_a_part_has_the_papers_of_its_parent_and_its_own() -> None:
    """Row 2 is a slide of the leg 1 of the specimen 0."""
    holding = holding_of([B, A, A], [COVERED] * 3, sources=[(1, 0), (2, 1)])
    assert answers(holding) == ["ask-first"] * 3


def test_a_parent_does_not_have_the_papers_of_its_parts() -> None:
    assert answers(holding_of([A, B], [COVERED] * 2, sources=[(1, 0)])) == ["allowed", "ask-first"]


def test_a_part_has_the_footing_of_its_parent() -> None:
    holding = holding_of([A, A], [int(Verdict.OUTSIDE), COVERED], sources=[(1, 0)])
    assert answers(holding) == ["not-known", "not-known"]


def test_a_circle_in_the_records_ends() -> None:
    assert answers(holding_of([A, B, A], [COVERED] * 3, sources=[(0, 1), (1, 2), (2, 0)])) == ["ask-first"] * 3


def test_a_pool_with_a_member_that_no_paper_speaks_of_does_not_go() -> None:
    """The paper of the others does not speak for it."""
    holding = holding_of([NEITHER, A, NEITHER], [COVERED] * 3, sources=[(0, 1), (0, 2)])
    assert answers(holding) == ["silent", "allowed", "silent"]


def test_a_paper_of_the_part_does_not_speak_for_the_parent() -> None:
    assert answers(holding_of([NEITHER, A], [COVERED] * 2, sources=[(1, 0)])) == ["silent", "silent"]


def test_a_pool_of_listed_material_is_listed() -> None:
    listed = [Listed.NO, Listed.YES, Listed.NO]
    holding = holding_of([A, A, A], [COVERED] * 3, listed, sources=[(0, 1), (0, 2)])
    way = Way(cites=WayCode.NEEDED)
    assert answers(holding, Use.LOAN_ABROAD, way=way, country="IS") == ["ask-first", "ask-first", "allowed"]


def test_material_that_waits_to_be_judged_anew_keeps_its_verdict_and_has_none() -> None:
    holding = holding_of([A, A], [COVERED, int(Verdict.OUTSIDE)], waiting=[True, True])
    told = answer(PAPERS, holding, Question([Asked(LOAN, DAY)]))
    codes = [{finding.code for finding in told.cases[row].findings} for row in told.case.tolist()]
    assert codes == [{"allowed", "not-judged"}, {"allowed", "not-judged", "verdict-outside"}]


# ---------------------------------------------------------------------------------------------------------- counting


def under(holding: Holding) -> dict[int, tuple[int, int]]:
    return dict(specimens_under(Inherited(holding), holding.asked))


@pytest.mark.parametrize(
    ("holding", "expected"),
    [
        (holding_of([A, A, BOTH], [COVERED] * 3), {0: (3, 3), 1: (1, 1)}),
        (holding_of([A, A], [COVERED] * 2, asked=[0, 0, 0]), {0: (1, 1)}),
        (holding_of([A, A], [COVERED] * 2, sources=[(1, 0)]), {0: (1, 1)}),
        (holding_of([A, A, A], [COVERED] * 3, sources=[(1, 0), (2, 0)], asked=[1, 2]), {0: (1, 1)}),
        (holding_of([NEITHER, A, A, B], [COVERED] * 4, sources=[(0, 1), (0, 2), (0, 3)], asked=[0]),
         {0: (2, 2), 1: (1, 1)}),
        (holding_of([NEITHER, A, A], [COVERED] * 3, sources=[(0, 1), (0, 2)], asked=[0, 1]), {0: (2, 2)}),
        (holding_of([A, NEITHER], [COVERED] * 2, sources=[(0, 1)]), {0: (1, 1)}),
        (holding_of([A, A], [COVERED] * 2, counts=[(400, 400), (2, 5)]), {0: (402, 405)}),
        (holding_of([A, A], [COVERED] * 2, sources=[(1, 0)], counts=[(400, 400), (1, 1)], asked=[1]), {0: (1, 1)}),
        (holding_of([A, A, A], [COVERED] * 3, sources=[(1, 0), (2, 0)], counts=[(400, 400), (50, 50), (60, 70)],
                    asked=[1, 2]), {0: (60, 120)}),
        (holding_of([A, A, A], [COVERED] * 3, sources=[(0, 1), (0, 2)], counts=[(1, 1), (3, 3), (4, 4)], asked=[0]),
         {0: (2, 7)}),
        (holding_of([A, A], [COVERED] * 2, sources=[(0, 1), (1, 0)]), {0: (1, 1)}),
    ],
    ids=["each", "asked twice", "a part and its parent", "two parts of one", "a pool by paper", "a pool and a member",
         "a paper of the part alone", "lots", "one of a lot", "two fractions of a lot", "a pool of lots", "a circle"],
)  # fmt: skip
def test_specimens_are_counted_once_under_each_paper(holding: Holding, expected: dict[int, tuple[int, int]]) -> None:
    """Two fractions of 50 and of 60 to 70 are at least the 60 of one, at most 50 + 70; a pool of lots of 3 and 4 took
    one of each at least, and all 7 at most."""
    assert under(holding) == expected


# ------------------------------------------------------------------------------------------------- footing and the way


@pytest.mark.parametrize("verdict", [NONE, *Verdict])
def test_only_settled_footing_lets_material_go_by_itself(verdict: int) -> None:
    is_settled = verdict in (Verdict.COVERED, Verdict.NOT_REQUIRED)
    assert answers(holding_of([A], [int(verdict)])) == ["allowed" if is_settled else "not-known"]
    assert answers(holding_of([A], [int(verdict)]), Use.STUDY_ON_THE_SPOT) == ["allowed"]


def test_a_house_rule_that_forgets_a_verdict_is_read_carefully() -> None:
    """A rule on "outside" alone says nothing of material that nobody has judged."""
    policy = Policy(gates={LOAN: {Verdict.OUTSIDE: Answer.ALLOWED}})
    holding = holding_of([A] * 3, [int(Verdict.OUTSIDE), NONE, int(Verdict.MISSING)])
    assert answers(holding, policy=policy) == ["allowed", "not-known", "not-known"]
    assert answers(holding, policy=Policy(gates={LOAN: OPEN_GATE})) == ["allowed"] * 3


def test_uses_that_travel_are_all_but_those_that_move_nothing() -> None:
    assert {use.code for use in STAYS} == {
        "study-on-the-spot", "publishing-sequences", "publishing-images", "publishing-localities"
    }  # fmt: skip
    assert set(Use) == TRAVELS | STAYS


@pytest.mark.parametrize("use", sorted(TRAVELS))
def test_the_way_counts_for_every_use_that_may_travel(use: Use) -> None:
    holding = holding_of([A], [COVERED])
    assert answers(holding, use, way=Way(export=WayCode.NEEDED), country="IS", commercial=Tri.NO) == ["ask-first"]


@pytest.mark.parametrize("use", sorted(STAYS))
def test_no_way_counts_where_nothing_moves(use: Use) -> None:
    unknown = Way(WayCode.NOT_KNOWN, WayCode.NOT_KNOWN, WayCode.NOT_KNOWN)
    assert answers(holding_of([A], [COVERED], [Listed.YES]), use, way=unknown, country="IS") == ["allowed"]


@pytest.mark.parametrize(
    ("use", "country", "expected"),
    [
        (Use.LOAN_ABROAD, "", "not-known"),
        (Use.LOAN_ABROAD, "SE", "not-known"),
        (Use.EXHIBITION, "", "not-known"),
        (Use.EXHIBITION, "SE", "allowed"),
        (Use.LOAN_AT_HOME, "", "allowed"),
        (Use.SEQUENCING, "", "allowed"),
    ],
)
def test_a_way_that_nobody_looked_at(use: Use, country: str, expected: str) -> None:
    """A loan abroad crosses a border by its name; what leaves for a place that is not told may."""
    assert answers(holding_of([A], [COVERED]), use, country=country) == [expected]


def test_a_label_of_an_exchange_is_no_export_permit() -> None:
    with pytest.raises(EngineError, match="CITES alone"):
        Way(export=WayCode.EXCHANGE_LABEL)
    with pytest.raises(EngineError, match="CITES alone"):
        Way(import_=WayCode.EXCHANGE_LABEL)


# ------------------------------------------------------------------------------------------------- words and mistakes


def test_silence_is_the_word_where_silence_alone_decides() -> None:
    silent = Finding(Answer.NOT_ALLOWED, "silent", LOAN, 0, is_silent=True)
    said = Finding(Answer.NOT_ALLOWED, "not-allowed", LOAN, 1)
    asked = Finding(Answer.ASK_FIRST, "ask", LOAN, 1)
    assert Case(Answer.NOT_ALLOWED, (silent, asked)).word == Answer.SILENT
    assert Case(Answer.NOT_ALLOWED, (said, silent)).word == Answer.NOT_ALLOWED


def test_codes_are_distinct_and_verdicts_have_theirs() -> None:
    assert len(set(CODES)) == len(CODES)
    assert {verdict_code(verdict) for verdict in (NONE, *Verdict)} <= set(CODES)


def test_uses_have_words() -> None:
    assert all(Use.from_code(use.code) is use for use in Use)
    with pytest.raises(EngineError, match='"lending" is no use; the uses are study-on-the-spot, loan-at-home'):
        Use.from_code("lending")


def test_answers_that_may_go() -> None:
    assert {one.code for one in MAY_GO} == {"allowed", "with-duties"}
    assert Answers(np.zeros(0, np.int32), ()).answers() == []


@pytest.mark.parametrize("sets", [[frozenset({2})], [frozenset({-1})]])
def test_a_set_that_names_no_paper_is_refused(sets: list[frozenset[int]]) -> None:
    """-1 would be the last paper, were it not."""
    for judge in (answer, reference.answer):
        with pytest.raises(EngineError, match=r"row (2|-1)"):
            judge(PAPERS, holding_of(sets, [COVERED]), Question([Asked(LOAN, DAY)]))


def test_a_reply_under_no_paper_is_refused() -> None:
    """A refusal that hangs on the wrong row would not be heard."""
    for more in ({"replies": {(2, LOAN): Replied.REFUSED}}, {"used_before": {(2, LOAN): 1}}):
        for judge in (answer, reference.answer):
            with pytest.raises(EngineError, match="row 2"):
                judge(PAPERS, holding_of([A], [COVERED]), Question([Asked(LOAN, DAY)], **more))


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"verdicts": [6]}, "Holding.verdict: 6 to 6, expected -1 to 5"),
        ({"verdicts": [-2]}, "Holding.verdict"),
        ({"listed": [3]}, "Holding.listed"),
        ({"verdicts": [0, 0]}, "columns differ in length"),
        ({"asked": [1]}, "Holding.asked: 1 to 1, expected 0 to 0"),
        ({"asked": [-1]}, "Holding.asked"),
        ({"sources": [(0, 1)]}, "Holding.sources"),
        ({"counts": [(3, 2)]}, "least <= most"),
        ({"counts": [(-1, 2)]}, "least <= most"),
        ({"waiting": [True, False]}, "columns differ in length"),
    ],
)
def test_material_that_cannot_be_is_refused(changes: dict[str, Any], message: str) -> None:
    with pytest.raises(EngineError, match=message):
        holding_of(**{"sets": [A], "verdicts": [COVERED], **changes})


def test_sets_and_pairs_that_cannot_be_are_refused() -> None:
    one = np.zeros(1, np.int32)
    with pytest.raises(EngineError, match=r"Holding\.papers: 0 to 0, expected 0 to -1"):
        Holding(one, (), one, one.astype(np.uint8), np.zeros((0, 2), np.int32), one)
    with pytest.raises(EngineError, match=r"shape \(n_pairs, 2\)"):
        Holding(one, (A,), one, one.astype(np.uint8), np.zeros((1, 3), np.int32), one)
