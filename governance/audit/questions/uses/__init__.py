"""What was done with material, and whether that was allowed."""

from __future__ import annotations

from typing import Final

from governance.audit.asking import Question
from governance.audit.questions.uses import commercial, publications, sequenced

QUESTIONS: Final[tuple[Question, ...]] = (sequenced.QUESTION, commercial.QUESTION, publications.QUESTION)
