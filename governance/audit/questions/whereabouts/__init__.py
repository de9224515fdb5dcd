"""Where material is, who has it, on what terms it is out, what is there no longer."""

from __future__ import annotations

from typing import Final

from governance.audit.asking import Question
from governance.audit.questions.whereabouts import lost, of_country, overdue, received, terms_then

QUESTIONS: Final[tuple[Question, ...]] = (
    of_country.QUESTION,
    received.QUESTION,
    overdue.QUESTION,
    terms_then.QUESTION,
    lost.QUESTION,
)
