"""How the records came to say what they say."""

from __future__ import annotations

from typing import Final

from governance.audit.asking import Question
from governance.audit.questions.records import (
    arrivals,
    changed_since,
    figures,
    identified,
    overruled,
    scan_story,
    who_can_see,
)

QUESTIONS: Final[tuple[Question, ...]] = (
    scan_story.QUESTION, overruled.QUESTION, arrivals.QUESTION, identified.QUESTION, who_can_see.QUESTION,
    figures.QUESTION, changed_since.QUESTION,
)  # fmt: skip
