"""What was done with material, and whether that was allowed."""

from __future__ import annotations

from typing import Final

from governance.audit.asking import Question

QUESTIONS: Final[tuple[Question, ...]] = ()
