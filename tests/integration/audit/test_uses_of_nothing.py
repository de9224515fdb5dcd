"""Questions on what was owed, where material is and what was done with it, put to an empty register, and with what it
does not hold: an answer in a sentence, or a word at the field, never an error."""

from __future__ import annotations

import pytest

from governance.audit.asking import ParameterKind, Question, UnknownValueError
from governance.audit.questions import duties, uses, whereabouts
from tests.integration.audit.put import put, table

pytestmark = pytest.mark.django_db

QUESTIONS = (*duties.QUESTIONS, *whereabouts.QUESTIONS, *uses.QUESTIONS)
UNKNOWN = {ParameterKind.COUNTRY: "XX", ParameterKind.DAY: "last week", ParameterKind.DAYS: "-1"}


def test_all_twelve_are_there_in_the_order_of_the_list() -> None:
    assert [question.key for question in QUESTIONS] == [
        "papers-that-expire", "reports-due", "nil-returns", "deposits-due", "where-is-it", "who-received",
        "loans-overdue", "terms-on-day-of-loan", "lost-or-consumed", "sequenced", "commercial", "publications",
    ]  # fmt: skip


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda one: one.key)
def test_an_empty_register_is_answered(question: Question) -> None:
    needed = {one.key: "GE" for one in question.parameters if one.is_required and not one.default}
    found = put(question.key, **needed)
    assert table(found) == [] and found.sentence.endswith(".") and found.kept_back == ()
    assert found.notes and found.columns


@pytest.mark.parametrize(
    ("question", "name"), [(question, one.key) for question in QUESTIONS for one in question.parameters],
    ids=lambda one: getattr(one, "key", one),
)  # fmt: skip
def test_what_the_register_does_not_hold_is_told_at_its_field(question: Question, name: str) -> None:
    kind = next(one.kind for one in question.parameters if one.key == name)
    needed = {one.key: "GE" for one in question.parameters if one.is_required and not one.default}
    with pytest.raises(UnknownValueError) as refused:
        put(question.key, **{**needed, name: UNKNOWN.get(kind, "NO-SUCH")})
    assert refused.value.parameter == name
    assert str(refused.value).endswith(".")
