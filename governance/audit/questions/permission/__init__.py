"""Which papers there are, which were in force, what is not covered."""

from __future__ import annotations

from typing import Final

from governance.audit.asking import Question
from governance.audit.questions.permission.consent_withdrawn import CONSENT_WITHDRAWN
from governance.audit.questions.permission.nagoya_not_applied import NAGOYA_NOT_APPLIED
from governance.audit.questions.permission.permit_of_specimen import PERMIT_OF_SPECIMEN
from governance.audit.questions.permission.without_paper import WITHOUT_PAPER

QUESTIONS: Final[tuple[Question, ...]] = (PERMIT_OF_SPECIMEN, WITHOUT_PAPER, NAGOYA_NOT_APPLIED, CONSENT_WITHDRAWN)
