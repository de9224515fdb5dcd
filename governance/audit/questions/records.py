"""How the records came to say what they say."""

from __future__ import annotations

from typing import Final

from governance.audit.asking import Question

QUESTIONS: Final[tuple[Question, ...]] = ()
