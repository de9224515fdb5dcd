"""What was owed: papers that expire, reports, nil returns, deposits."""

from __future__ import annotations

from typing import Final

from governance.audit.asking import Question
from governance.audit.questions.duties import deposits, expiring, nil_returns, reports

QUESTIONS: Final[tuple[Question, ...]] = (
    expiring.QUESTION,
    reports.QUESTION,
    nil_returns.QUESTION,
    deposits.QUESTION,
)
