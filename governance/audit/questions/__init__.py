"""The ready questions, in the order in which the list shows them: one module for each group of questions."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from governance.audit.asking import Question
from governance.audit.questions import duties, permission, quality, records, taking, uses, whereabouts

QUESTIONS: Final[tuple[Question, ...]] = (
    *permission.QUESTIONS,
    *taking.QUESTIONS,
    *duties.QUESTIONS,
    *whereabouts.QUESTIONS,
    *uses.QUESTIONS,
    *records.QUESTIONS,
    *quality.QUESTIONS,
)

QUESTION: Final[Mapping[str, Question]] = {question.key: question for question in QUESTIONS}
