"""Where material is, who has it, on what terms it is out."""

from __future__ import annotations

from typing import Final

from governance.audit.asking import Question

QUESTIONS: Final[tuple[Question, ...]] = ()
