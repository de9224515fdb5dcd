"""How material was taken: days, places, people, traps, numbers."""

from __future__ import annotations

from typing import Final

from governance.audit.asking import Question
from governance.audit.questions.taking.outside_area import OUTSIDE_AREA
from governance.audit.questions.taking.outside_dates import OUTSIDE_DATES
from governance.audit.questions.taking.species_under_paper import SPECIES_UNDER_PAPER
from governance.audit.questions.taking.taken_against_allowed import TAKEN_AGAINST_ALLOWED
from governance.audit.questions.taking.traps import TRAPS
from governance.audit.questions.taking.who_collected import WHO_COLLECTED

QUESTIONS: Final[tuple[Question, ...]] = (
    OUTSIDE_DATES, OUTSIDE_AREA, WHO_COLLECTED, TRAPS, SPECIES_UNDER_PAPER, TAKEN_AGAINST_ALLOWED,
)  # fmt: skip
