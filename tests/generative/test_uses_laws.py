"""Laws of the answers of the use desk, whatever papers, material and questions there are.

None of them can show that an answer is right: a desk that always said "not allowed" would keep most of them. That
answers are as the trade gives them is shown by the table of cases (tests/spec/uses).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from governance.engine.tables import NONE
from governance.engine.uses import (
    CAREFUL_GATE,
    MAY_GO,
    Answer,
    Asked,
    Case,
    Holding,
    PaperTerms,
    Policy,
    Replied,
    Said,
    Tri,
    Use,
    version_on,
)
from tests.generative.desks import Desk, desks, papers, requests, versions
from tests.generative.test_uses_agree import answered


def for_all(desk: Desk) -> Desk:
    """The same with every row asked for once, in the order of the rows."""
    count = len(desk.holding.papers)
    return desk._replace(holding=replace(desk.holding, asked=np.arange(count, dtype=np.int32)))


def with_question(desk: Desk, **changes: object) -> Desk:
    return desk._replace(question=replace(desk.question, **changes))  # type: ignore[arg-type]


def codes(case: Case) -> set[str]:
    return {finding.code for finding in case.findings}


# ------------------------------------------------------------------------------------------------------- inheritance


@given(desk=desks(), data=st.data())
def test_another_paper_never_makes_an_answer_milder(desk: Desk, data: st.DataObject) -> None:
    """Wherever some paper is heard already, on every use and for all that the material comes from.

    Where none is, the house rule for "no paper" speaks until one is heard, and that may be stricter than the paper.
    """
    desk = for_all(desk)
    new = data.draw(papers({asked.use for asked in desk.question.uses}, len(desk.papers)))
    linked = data.draw(st.frozensets(st.sampled_from(range(len(desk.holding.sets) or 1))))
    sets = [one | {len(desk.papers)} if number in linked else one for number, one in enumerate(desk.holding.sets)]
    more = Desk([*desk.papers, new], replace(desk.holding, sets=tuple(sets)), desk.question)
    for before, after in zip(answered(desk), answered(more), strict=True):
        if "no-terms" not in codes(before):
            assert after.answer >= before.answer
            assert set(before.findings) <= set(after.findings)


@given(desk=desks())
def test_a_part_is_never_freer_than_its_parent_nor_a_pool_than_a_member(desk: Desk) -> None:
    """Through chains and circles of records too, and every reason of the source is one of what was made of it."""
    cases = answered(for_all(desk))
    for row, source in desk.holding.sources.tolist():
        assert cases[row].answer >= cases[source].answer
        assert set(cases[source].findings) <= set(cases[row].findings)


# ---------------------------------------------------------------------------------------------- order and repetition


def reordered(desk: Desk, random: Random) -> tuple[Desk, list[int], list[int]]:
    """Papers and rows in another order; and where each paper and each row went."""
    to_paper, to_row = list(range(len(desk.papers))), list(range(len(desk.holding.papers)))
    random.shuffle(to_paper)
    random.shuffle(to_row)
    old, question = desk.holding, desk.question
    back = np.argsort(np.array(to_row, np.int32)).astype(np.int32)
    moved = np.array(to_row, np.int32)
    holding = Holding(
        papers=old.papers[back],
        sets=tuple(frozenset(to_paper[one] for one in papers_) for papers_ in old.sets),
        verdict=old.verdict[back],
        listed=old.listed[back],
        sources=moved[old.sources[::-1]] if old.sources.size else old.sources,
        asked=moved[old.asked] if old.asked.size else old.asked,
        least=None if old.least is None else old.least[back],
        most=None if old.most is None else old.most[back],
        waiting=None if old.waiting is None else old.waiting[back],
    )
    in_order = [desk.papers[to_paper.index(row)] for row in range(len(desk.papers))]
    asked = replace(
        question,
        uses=list(reversed(question.uses)),
        replies={(to_paper[row], use): reply for (row, use), reply in question.replies.items()},
        used_before={(to_paper[row], use): number for (row, use), number in question.used_before.items()},
    )
    return Desk(in_order, holding, asked), to_paper, to_row


@given(desk=desks(has_circles=False), random=st.randoms(use_true_random=False))
def test_order_is_irrelevant(desk: Desk, random: Random) -> None:
    """Of papers, rows, sources and uses. Circles apart: under a limit the first row of one stands for all of it."""
    moved, to_paper, _ = reordered(desk, random)
    for one, other in zip(answered(desk), answered(moved), strict=True):
        renamed = {replace(f, paper=to_paper[f.paper]) if f.paper != NONE else f for f in one.findings}
        assert other.answer == one.answer
        assert set(other.findings) == renamed


@given(desk=desks())
def test_asking_twice_for_a_specimen_changes_nothing(desk: Desk) -> None:
    twice = replace(desk.holding, asked=np.concatenate([desk.holding.asked, desk.holding.asked]))
    assert answered(desk._replace(holding=twice)) == answered(desk) * 2


@given(desk=desks(), at=st.integers(0, 8))
def test_asking_for_less_is_never_stricter(desk: Desk, at: int) -> None:
    """Limits on numbers are the only thing that one specimen does to another."""
    part = replace(desk.holding, asked=desk.holding.asked[:at])
    for less, all_ in zip(answered(desk._replace(holding=part)), answered(desk), strict=False):
        assert less.answer <= all_.answer
        assert {f for f in less.findings if "most-specimens" not in f.code} <= set(all_.findings)


# -------------------------------------------------------------------------------------------------- uses and facts


@given(desk=desks())
def test_several_uses_are_answered_as_the_strictest_of_each(desk: Desk) -> None:
    """Each with what is told of all: who asks for commercial use has told that it is commercial."""
    uses = desk.question.uses
    if any(asked.use == Use.COMMERCIAL_USE for asked in uses):
        uses = [replace(asked, commercial=Tri.YES) for asked in uses]
    apart = [answered(with_question(desk, uses=[asked])) for asked in uses]
    for together, *each in zip(answered(desk), *apart, strict=True):
        assert together.answer == max(case.answer for case in each)
        assert set(together.findings) == {finding for case in each for finding in case.findings}


UNTOLD = {"recipient": None, "country": "", "commercial": Tri.NOT_TOLD, "identification_only": Tri.NOT_TOLD,
          "parts": frozenset[str]()}  # fmt: skip


@given(desk=desks(), fact=st.sampled_from(sorted(UNTOLD)), told=requests(most_uses=1))
def test_a_fact_that_is_told_changes_only_what_was_not_known(desk: Desk, fact: str, told: Sequence[Asked]) -> None:
    """Where the answer did not wait for a fact, telling it changes nothing: no answer is better for being left open."""
    without = [replace(asked, **{fact: UNTOLD[fact]}) for asked in desk.question.uses]  # type: ignore[arg-type]
    with_it = [replace(asked, **{fact: getattr(told[0], fact)}) for asked in without]
    before = answered(with_question(desk, uses=without))
    after = answered(with_question(desk, uses=with_it))
    for open_, closed in zip(before, after, strict=True):
        if open_.answer < Answer.NOT_KNOWN:
            assert closed == open_
        if open_ != closed:
            assert any(f.answer == Answer.NOT_KNOWN for f in set(open_.findings) - set(closed.findings))


# ------------------------------------------------------------------------------------------- versions and replies


@given(desk=desks(), data=st.data())
def test_other_versions_do_not_speak(desk: Desk, data: st.DataObject) -> None:
    """An earlier version is silent from the day on which a later one starts, and a later one until that day."""
    days = {asked.day for asked in desk.question.uses}
    uses = {asked.use for asked in desk.question.uses}
    changed = [_with_other_terms(paper, days, uses, data) for paper in desk.papers]
    assert answered(desk._replace(papers=changed)) == answered(desk)


def _with_other_terms(paper: PaperTerms, days: set[int], uses: set[Use], data: st.DataObject) -> PaperTerms:
    in_force = {version_on(paper, day) for day in days}
    mixed = [
        version if row in in_force else data.draw(versions(version.from_day, uses))
        for row, version in enumerate(paper.versions)
    ]
    return replace(paper, versions=tuple(mixed))


@given(desk=desks())
def test_an_agreement_settles_asking_and_silence_alone(desk: Desk) -> None:
    """Never a clause that forbids, a condition that forbids, what is not read or not known, the footing, or the way."""
    every = [(row, asked.use) for row in range(len(desk.papers)) for asked in desk.question.uses]
    before = answered(with_question(desk, replies={}))
    after = answered(with_question(desk, replies=dict.fromkeys(every, Replied.AGREED)))
    for alone, agreed in zip(before, after, strict=True):
        gone = set(alone.findings) - set(agreed.findings)
        assert all(f.paper != NONE and (f.is_silent or f.answer == Answer.ASK_FIRST) for f in gone)
        assert {f.code for f in set(agreed.findings) - set(alone.findings)} <= {"agreed"}
        if any(f.answer == Answer.NOT_ALLOWED and not f.is_silent for f in alone.findings):
            assert agreed.answer == Answer.NOT_ALLOWED
        if gone:
            assert agreed.answer >= Answer.WITH_DUTIES


@given(desk=desks(), data=st.data())
def test_a_refusal_is_a_no(desk: Desk, data: st.DataObject) -> None:
    """Of every specimen on which the paper bears, read or unread, heard or not."""
    if not desk.papers:
        return
    row = data.draw(st.sampled_from(range(len(desk.papers))))
    refused = with_question(desk, replies={(row, desk.question.uses[0].use): Replied.REFUSED})
    for case in answered(refused):
        if any(finding.paper == row for finding in case.findings):
            assert case.answer == Answer.NOT_ALLOWED


# ------------------------------------------------------------------------------------------ numbers, footing, no's


@given(desk=desks(), data=st.data())
def test_more_individuals_never_make_an_answer_milder(desk: Desk, data: st.DataObject) -> None:
    """In the material, and used before."""
    size = len(desk.holding.papers)
    least = np.ones(size, np.int64) if desk.holding.least is None else desk.holding.least
    most = np.ones(size, np.int64) if desk.holding.most is None else desk.holding.most
    added = np.array(data.draw(st.lists(st.integers(0, 3), min_size=size, max_size=size)), np.int64)
    before = {(row, asked.use): 2 for row in range(len(desk.papers)) for asked in desk.question.uses}
    known = {place: number + desk.question.used_before.get(place, 0) for place, number in before.items()}
    more = replace(desk.holding, least=least + added, most=most + added)
    for few, many in zip(answered(desk), answered(with_question(desk._replace(holding=more), used_before=known)),
                         strict=True):  # fmt: skip
        assert many.answer >= few.answer


@given(desk=desks())
def test_unsettled_footing_never_makes_an_answer_milder(desk: Desk) -> None:
    """By the careful rule, material that is not judged or waits to be judged anew goes by itself nowhere but to a look
    at it and back to its provider."""
    desk = with_question(desk, policy=Policy(desk.question.policy.silence))
    waiting = np.ones(len(desk.holding.papers), bool)
    unjudged = np.full(len(desk.holding.papers), NONE, np.int32)
    for doubtful in (replace(desk.holding, waiting=waiting), replace(desk.holding, waiting=waiting, verdict=unjudged)):
        for case in answered(desk._replace(holding=doubtful)):
            is_open = {asked.use for asked in desk.question.uses} <= {Use.STUDY_ON_THE_SPOT, Use.RETURN_TO_PROVIDER}
            assert is_open or case.answer not in MAY_GO
    for settled, open_ in zip(answered(desk), answered(desk._replace(holding=replace(desk.holding, waiting=waiting))),
                              strict=True):  # fmt: skip
        assert open_.answer >= settled.answer
    assert set(CAREFUL_GATE.values()) == {Answer.NOT_KNOWN}


@given(desk=desks())
def test_a_clause_that_forbids_is_always_a_no(desk: Desk) -> None:
    """Whatever else is said, agreed or held: the version in force decides for all on which the paper bears."""
    for case in answered(desk):
        for finding in case.findings:
            paper = finding.paper
            if paper == NONE or finding.version == NONE:
                continue
            term = desk.papers[paper].versions[finding.version].terms.get(finding.use)
            if term is not None and term.said == Said.NOT_ALLOWED:
                assert case.answer == Answer.NOT_ALLOWED
