"""What in the records cannot be right, or should be looked at."""

from __future__ import annotations

from typing import Final

from governance.audit.asking import Question

QUESTIONS: Final[tuple[Question, ...]] = ()
