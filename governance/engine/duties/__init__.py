"""When what a paper asks for falls due: pure, with the day and the facts as arguments."""

from governance.engine.duties.days import add_months, in_year, later
from governance.engine.duties.occurrences import occurrences
from governance.engine.duties.states import State, state_of
from governance.engine.duties.tables import (
    BY_CALENDAR,
    About,
    Because,
    Happening,
    Occurrence,
    PaperFacts,
    Rule,
    Span,
    Trip,
    Unit,
    When,
)

__all__ = [
    "BY_CALENDAR",
    "About",
    "Because",
    "Happening",
    "Occurrence",
    "PaperFacts",
    "Rule",
    "Span",
    "State",
    "Trip",
    "Unit",
    "When",
    "add_months",
    "in_year",
    "later",
    "occurrences",
    "state_of",
]
