"""What may be done with one specimen today, use by use."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from governance.engine.uses import Case, Use, Way, WayCode
from governance.papers.models import USE_NAMES
from governance.usedesk.queries.answering import answers_in_turn
from governance.usedesk.queries.groups import DeskAnswer
from governance.usedesk.queries.shown import Reason, Sign, reasons
from governance.usedesk.queries.way import WayThere
from governance.usedesk.questions import Facts

NO_BORDER: Final = WayThere(Way(WayCode.NOT_NEEDED, WayCode.NOT_NEEDED, WayCode.NOT_NEEDED))
"""The question without the way there, which only a request can tell; the page says that it is left out."""

_TOGETHER: Final = (tuple(use for use in Use if use != Use.COMMERCIAL_USE), (Use.COMMERCIAL_USE,))
"""Uses that can be asked for in one question: who asks for commercial use has told that all of them are commercial."""


@dataclass(frozen=True)
class UseAnswer:
    """One use with its answer for one reader."""

    use: Use
    case: Case
    desk: DeskAnswer
    user: Any

    @property
    def name(self) -> Any:
        return USE_NAMES[self.use]

    @property
    def sign(self) -> Sign:
        return Sign(self.case.word)

    @property
    def reasons(self) -> list[Reason]:
        """Those that decide, without the uses to which else they speak."""
        return reasons(dict.fromkeys(self.case.deciding, 1), self.desk, self.user)


def specimen_uses(specimen: int, day: date, user: Any) -> list[UseAnswer]:
    """All kinds of use, by the papers and the footing; without the way there, and with nothing told of who asks."""
    found = []
    for desk in answers_in_turn([specimen], [Facts(uses, day) for uses in _TOGETHER], NO_BORDER):
        found += [UseAnswer(use, case, desk, user) for use, case in desk.by_use(specimen).items()]
    return sorted(found, key=lambda one: one.use)
