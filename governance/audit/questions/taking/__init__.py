"""How material was taken: days, places, people, traps, numbers."""

from __future__ import annotations

from typing import Final

from governance.audit.asking import Question
from governance.audit.questions.taking.outside_dates import OUTSIDE_DATES

QUESTIONS: Final[tuple[Question, ...]] = (OUTSIDE_DATES,)
