"""What one paper says to one use: versions, conditions and replies, at their edges, by the engine and by its twin.

Expected answers: decision record 6; days and numbers by hand.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import pytest

from governance.engine.tables import UNBOUNDED, EngineError, Verdict
from governance.engine.uses import (
    Answer,
    Asked,
    Case,
    Ended,
    Holding,
    Ownership,
    PaperTerms,
    Policy,
    Question,
    RecipientKind,
    Replied,
    Said,
    Silence,
    Term,
    Tri,
    Use,
    VersionTerms,
    answer,
    holding_of,
    is_for_the_owner,
    reference,
    version_on,
)

DAY = 738_000
LOAN = Use.LOAN_AT_HOME
ALLOWED = Term(Said.ALLOWED)

Judge = Callable[[Sequence[PaperTerms], Holding, Question], list[Case]]


def by_engine(papers: Sequence[PaperTerms], holding: Holding, question: Question) -> list[Case]:
    answers = answer(papers, holding, question)
    return [answers.cases[row] for row in answers.case.tolist()]


by_both = pytest.mark.parametrize("judge", [by_engine, reference.answer], ids=["engine", "twin"])


def a_paper(term: Term | None = ALLOWED, *, use: Use = LOAN, **more: Any) -> PaperTerms:
    """In force since always, with one clause."""
    version = VersionTerms(None, {} if term is None else {use: term}, more.pop("ownership", Ownership.NOT_SAID))
    return PaperTerms(**{"reference": "A", "kind": "collecting-permit", "versions": (version,), **more})


def first(
    judge: Judge, *papers: PaperTerms, n: int = 1, use: Use = LOAN, day: int = DAY,
    question: Mapping[str, Any] = {}, holding: Mapping[str, Any] = {}, **facts: Any,
) -> Case:  # fmt: skip
    """The case of the first of n specimens on which all papers bear, of settled footing."""
    every = frozenset(range(len(papers)))
    material = holding_of([every] * n, [Verdict.COVERED] * n, **holding)
    return judge(papers, material, Question([Asked(use, day, **facts)], **question))[0]


def codes(case: Case) -> list[str]:
    return [case.answer.code, *(finding.code for finding in case.findings)]


# ------------------------------------------------------------------------------------------------ versions and days


@pytest.mark.parametrize(("day", "expected"), [(9, 1), (10, 2), (19, 2), (20, 0), (21, 0)])
def test_the_last_version_that_had_started_speaks(day: int, expected: int) -> None:
    paper = PaperTerms("A", "other", (VersionTerms(20), VersionTerms(None), VersionTerms(10)))
    assert version_on(paper, day) == expected


@by_both
@pytest.mark.parametrize(
    ("day", "expected"),
    [(DAY - 1, ["not-known", "not-yet"]), (DAY, ["allowed", "allowed"]), (DAY + 1, ["allowed", "allowed"])],
)
def test_the_first_day_of_the_only_version(judge: Judge, day: int, expected: list[str]) -> None:
    paper = PaperTerms("A", "other", (VersionTerms(DAY, {LOAN: ALLOWED}),))
    case = first(judge, paper, day=day)
    assert [code for code in codes(case) if code != "no-terms"] == expected


@by_both
def test_an_unread_amendment_does_not_leave_the_earlier_terms_in_force(judge: Judge) -> None:
    paper = PaperTerms("A", "other", (VersionTerms(None, {LOAN: ALLOWED}), VersionTerms(DAY)))
    assert codes(first(judge, paper, day=DAY - 1)) == ["allowed", "allowed"]
    assert codes(first(judge, paper)) == ["not-known", "terms-unread"]


@by_both
@pytest.mark.parametrize(("day", "expected"), [(DAY - 1, "allowed"), (DAY, "ask-first"), (DAY + 1, "ask-first")])
def test_the_first_day_of_the_end(judge: Judge, day: int, expected: str) -> None:
    """The paper holds no longer on that day itself; its terms bind on, so its clause still stands beside."""
    case = first(judge, a_paper(ended=(Ended.REVOKED, DAY)), day=day)
    assert case.answer.code == expected
    assert "allowed" in codes(case)


@by_both
@pytest.mark.parametrize("how", [Ended.APPLIED, Ended.REFUSED])
def test_a_paper_that_was_never_granted_allows_nothing_on_any_day(judge: Judge, how: Ended) -> None:
    """Also before the day on which it was applied for or refused: it was not granted then either."""
    for ended_day in (DAY - 1, DAY, DAY + 1):
        assert codes(first(judge, a_paper(ended=(how, ended_day))))[:2] == ["not-known", "not-granted"]


@by_both
def test_a_paper_that_was_never_granted_is_not_heard(judge: Judge) -> None:
    """So the house rule for "no paper" counts, which may be stricter."""
    silence = Silence({(None, "none"): Answer.NOT_ALLOWED})
    refused = a_paper(ended=(Ended.REFUSED, DAY))
    assert codes(first(judge, refused, question={"policy": Policy(silence)})) == [
        "not-allowed",
        "no-terms",
        "not-granted",
    ]


@by_both
@pytest.mark.parametrize(
    ("day", "is_paused"), [(DAY - 1, False), (DAY, True), (DAY + 5, True), (DAY + 6, False), (DAY + 20, True)]
)
def test_suspensions_hold_from_their_first_to_their_last_day(judge: Judge, day: int, is_paused: bool) -> None:
    paper = a_paper(suspensions=((DAY, DAY + 5), (DAY + 20, None)))
    assert ("suspended" in codes(first(judge, paper, day=day))) is is_paused


# -------------------------------------------------------------------------------------------------------- conditions


@by_both
@pytest.mark.parametrize(("day", "expected"), [(DAY - 1, "not-allowed"), (DAY, "allowed"), (DAY + 1, "allowed")])
def test_an_embargo_ends_on_its_day(judge: Judge, day: int, expected: str) -> None:
    assert first(judge, a_paper(Term(Said.ALLOWED, not_before_day=DAY)), day=day).answer.code == expected


@by_both
@pytest.mark.parametrize(("asked_for", "before", "expected"), [
    (2, 0, "allowed"), (3, 0, "allowed"), (4, 0, "not-allowed"), (2, 1, "allowed"), (2, 2, "not-allowed"),
])  # fmt: skip
def test_a_limit_of_three(judge: Judge, asked_for: int, before: int, expected: str) -> None:
    """Equal to the limit is within it; what was so used before counts."""
    paper = a_paper(Term(Said.ALLOWED, most_specimens=3))
    case = first(judge, paper, n=asked_for, question={"used_before": {(0, LOAN): before}})
    assert case.answer.code == expected
    if expected == "not-allowed":
        assert (case.findings[0].measure, case.findings[0].against) == (4, 3)


@by_both
def test_a_limit_of_nothing(judge: Judge) -> None:
    assert first(judge, a_paper(Term(Said.ALLOWED, most_specimens=0))).answer == Answer.NOT_ALLOWED


@by_both
@pytest.mark.parametrize(
    ("count", "expected"),
    [
        ((3, 3), ["allowed", "allowed"]),
        ((3, 4), ["not-known", "most-specimens-not-told", "allowed"]),
        ((0, int(UNBOUNDED)), ["not-known", "most-specimens-not-told", "allowed"]),
        ((4, 4), ["not-allowed", "most-specimens", "allowed"]),
        ((4, int(UNBOUNDED)), ["not-allowed", "most-specimens", "allowed"]),
    ],
)
def test_a_lot_counts_its_individuals(judge: Judge, count: tuple[int, int], expected: list[str]) -> None:
    case = first(judge, a_paper(Term(Said.ALLOWED, most_specimens=3)), holding={"counts": [count]})
    assert codes(case) == expected
    if count == (0, int(UNBOUNDED)):
        assert case.findings[0].measure == -1, "no bound is told as none, not as a number"


@by_both
def test_the_conditions_of_a_silent_clause_count(judge: Judge) -> None:
    """A reader who wrote an embargo beside "silent" found a limit; read as allowed, it would otherwise be lost."""
    read = Policy(Silence({(None, ""): Answer.ALLOWED}))
    paper = a_paper(Term(Said.SILENT, not_before_day=DAY + 1))
    assert codes(first(judge, paper, question={"policy": read})) == ["not-allowed", "embargo", "silent"]


@by_both
@pytest.mark.parametrize(
    ("reading", "expected"),
    [(-1, "ask-first"), (Answer.ALLOWED, "ask-first"), (Answer.SILENT, "silent"), (Answer.NOT_ALLOWED, "not-allowed")],
)
def test_silence_where_a_condition_is_not_met_at_least_asks(judge: Judge, reading: int, expected: str) -> None:
    term = Term(Said.ALLOWED, recipients=frozenset({RecipientKind.AUTHORITY}), otherwise=Said.SILENT)
    policy = Policy(Silence({(None, ""): reading}))
    case = first(judge, a_paper(term), recipient=RecipientKind.COMPANY, question={"policy": policy})
    assert (case.answer.code, case.findings[0].code, case.findings[0].is_silent) == (expected, "recipient", True)


@by_both
def test_a_clause_that_forbids_is_not_softened_by_its_conditions(judge: Judge) -> None:
    term = Term(Said.NOT_ALLOWED, recipients=frozenset({RecipientKind.COMPANY}), otherwise=Said.ASK_FIRST)
    for recipient in (None, *RecipientKind):
        assert codes(first(judge, a_paper(term), recipient=recipient)) == ["not-allowed", "not-allowed"]


@by_both
def test_commercial_use_makes_the_other_uses_commercial(judge: Judge) -> None:
    """Whatever the request says of itself: both are asked for together."""
    terms = {LOAN: Term(Said.ALLOWED, non_commercial_only=True), Use.COMMERCIAL_USE: ALLOWED}
    paper = PaperTerms("A", "other", (VersionTerms(None, terms),))
    both = [Asked(LOAN, DAY, commercial=Tri.NO), Asked(Use.COMMERCIAL_USE, DAY, commercial=Tri.NO)]
    material = holding_of([frozenset({0})], [Verdict.COVERED])
    assert judge([paper], material, Question(both[:1]))[0].answer == Answer.ALLOWED
    assert judge([paper], material, Question(both))[0].answer == Answer.NOT_ALLOWED


# --------------------------------------------------------------------------------------------------- silence, title


@pytest.mark.parametrize("ownership", Ownership)
def test_whose_word_is_needed_where_the_paper_is_silent(ownership: Ownership) -> None:
    """Nobody's of what the house owns or of which nothing is said; for borrowed material the lender's, but to look at
    it and to give it back (common practice, no source)."""
    asked = {use for use in Use if is_for_the_owner(ownership, use)}
    if ownership in (Ownership.NOT_SAID, Ownership.HOUSE):
        assert asked == set()
    elif ownership == Ownership.LOAN_IN:
        assert asked == set(Use) - {Use.STUDY_ON_THE_SPOT, Use.RETURN_TO_PROVIDER}
    else:
        assert {Use.DISPOSAL, Use.RETENTION, Use.SEQUENCING} <= asked
        assert Use.LOAN_AT_HOME not in asked


@by_both
@pytest.mark.parametrize(
    ("reading", "expected"),
    [
        (-1, "title-elsewhere"),
        (Answer.ALLOWED, "title-elsewhere"),
        (Answer.WITH_DUTIES, "title-elsewhere"),
        (Answer.ASK_FIRST, "silent"),
        (Answer.NOT_ALLOWED, "silent"),
    ],
)
def test_title_elsewhere_is_asked_about_where_silence_is_read_more_mildly(
    judge: Judge, reading: int, expected: str
) -> None:
    paper = a_paper(Term(Said.SILENT), use=Use.DISPOSAL, ownership=Ownership.STATE_KEEPS_TITLE)
    case = first(judge, paper, use=Use.DISPOSAL, question={"policy": Policy(Silence({(None, ""): reading}))})
    assert case.findings[0].code == expected
    assert case.answer >= Answer.ASK_FIRST


def test_the_kind_of_paper_counts_before_the_use() -> None:
    readings = {(None, ""): 0, (LOAN, ""): 2, (None, "bequest"): 5, (LOAN, "bequest"): 3}
    asked = [(LOAN, "bequest"), (Use.IMAGING, "bequest"), (LOAN, "other"), (Use.IMAGING, "other"), (LOAN, "none")]
    assert [Silence(readings).reading(*place) for place in asked] == [3, 5, 2, 0, Answer.SILENT]


@by_both
def test_a_paper_that_need_not_speak_leaves_the_material_without_terms(judge: Judge) -> None:
    """Ended, agreed to or not: nobody has said anything of the use."""
    silence = Policy(Silence({(None, "veterinary-certificate"): -1, (None, "none"): Answer.NOT_ALLOWED}))
    for more in ({}, {"ended": (Ended.REVOKED, DAY)}, {"suspensions": ((DAY, None),)}):
        paper = a_paper(Term(Said.SILENT), kind="veterinary-certificate", **more)
        for replies in ({}, {(0, LOAN): Replied.AGREED}):
            case = first(judge, paper, question={"policy": silence, "replies": replies})
            assert codes(case)[:2] == ["not-allowed", "no-terms"]


# ------------------------------------------------------------------------------------------------------------ replies


@by_both
@pytest.mark.parametrize(
    ("term", "agreed"),
    [
        (Term(Said.ASK_FIRST), "with-duties"),
        (Term(Said.SILENT), "with-duties"),
        (Term(Said.NOT_ALLOWED), "not-allowed"),
        (Term(Said.ASK_FIRST, not_before_day=DAY + 1), "not-allowed"),
        (Term(Said.ASK_FIRST, not_before_day=DAY + 1, otherwise=Said.ASK_FIRST), "with-duties"),
        (Term(Said.ASK_FIRST, identification_only=True), "not-known"),
        (None, "not-known"),
    ],
)
def test_what_an_agreement_settles(judge: Judge, term: Term | None, agreed: str) -> None:
    replies = {(0, LOAN): Replied.AGREED}
    assert first(judge, a_paper(term), question={"replies": replies}).answer.code == agreed


@by_both
@pytest.mark.parametrize(
    "paper",
    [a_paper(), a_paper(None), a_paper(versions=()), a_paper(ended=(Ended.APPLIED, 1)),
     a_paper(versions=(VersionTerms(DAY + 1),)), a_paper(Term(Said.NOT_ALLOWED))],
)  # fmt: skip
def test_a_refusal_is_heard_whatever_was_read(judge: Judge, paper: PaperTerms) -> None:
    case = first(judge, paper, question={"replies": {(0, LOAN): Replied.REFUSED}})
    assert case.answer == Answer.NOT_ALLOWED
    assert "refused" in codes(case)


@by_both
def test_waiting_for_a_reply_is_no_reply(judge: Judge) -> None:
    asking = a_paper(Term(Said.ASK_FIRST))
    assert first(judge, asking, question={"replies": {(0, LOAN): Replied.WAITING}}) == first(judge, asking)


# ------------------------------------------------------------------------------------------------- callers' mistakes


def test_the_otherwise_of_a_condition_is_never_a_yes() -> None:
    with pytest.raises(EngineError, match="not to with-duties"):
        Term(Said.ALLOWED, otherwise=Said.WITH_DUTIES)


@pytest.mark.parametrize("code", ["se", "SWE", "S", "Sweden"])
def test_a_country_in_other_letters_is_refused(code: str) -> None:
    """ "se" would pass by a clause that excludes "SE"."""
    with pytest.raises(EngineError, match="two capital letters"):
        Term(Said.ALLOWED, not_countries=frozenset({code}))
    with pytest.raises(EngineError, match="two capital letters"):
        Asked(LOAN, DAY, country=code)


def test_two_versions_of_one_day_are_refused() -> None:
    with pytest.raises(EngineError, match="A: two versions start on the same day"):
        PaperTerms("A", "other", (VersionTerms(10), VersionTerms(10)))


def test_no_paper_is_no_kind_of_paper() -> None:
    with pytest.raises(EngineError, match="no kind of paper"):
        PaperTerms("A", "none")


def test_silence_is_read_as_an_answer() -> None:
    with pytest.raises(EngineError, match="not as \\[7\\]"):
        Silence({(None, ""): 7})
