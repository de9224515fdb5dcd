"""Which papers there are, which were in force, what is not covered."""

from __future__ import annotations

from typing import Final

from governance.audit.asking import Question

QUESTIONS: Final[tuple[Question, ...]] = ()
