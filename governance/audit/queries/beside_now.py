"""The answer of now beside that of a past day of the register, and what differs between the two."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from governance.audit.asking import Answer, Asked, ListedRows, Question, UnknownValueError
from governance.audit.queries.asking import answered
from governance.audit.queries.differing import Difference, difference

MOST_HELD: Final = 20_000
"""Rows of each answer that a page holds against each other."""

MOST_SHOWN: Final = 50
"""Rows that came, went or changed which the page shows; all are counted."""


@dataclass(frozen=True)
class BesideNow:
    """What the answer is now, and how many rows it has. problem: why there is none, in words. difference: None where
    there are too many rows to hold them against each other."""

    sentence: str = ""
    count: int = 0
    difference: Difference | None = None
    problem: str = ""


def held(answer: Answer) -> Answer | None:
    """An answer whose rows stay when the clocks are left; None where they are too many."""
    return replace(answer, rows=ListedRows(list(answer.rows))) if len(answer.rows) <= MOST_HELD else None


def beside_now(question: Question, asked: Asked, then: Answer | None) -> BesideNow:
    """The same question on the same day in the world, of all that is entered by now. then: of ``held``."""

    def compared(now: Answer) -> Difference | None:
        if then is None or len(now.rows) > MOST_HELD:
            return None
        return difference(then, now, most=MOST_SHOWN)

    try:
        found = answered(question, replace(asked, known_at=None), lambda found: compared(found.answer))
    except UnknownValueError as error:
        return BesideNow(problem=str(error))
    return BesideNow(found.answer.sentence, len(found.answer.rows), found.read)
