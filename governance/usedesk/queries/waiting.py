"""What waits at the desk, for the page of the day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from governance.usedesk.models import ProviderQuestion, UseRequest
from governance.usedesk.queries.listing import OPEN, Line, Wanted, counts, line_of, use_requests

_MOST: Final = 5


@dataclass(frozen=True)
class Asked:
    """A question without a reply, and for how many days."""

    question: ProviderQuestion
    days: int


@dataclass(frozen=True)
class Waiting:
    """Requests that want an answer, the late ones first, and questions that wait longest. counts: of all of them."""

    lines: Sequence[Line]
    request_count: int
    late_count: int
    questions: Sequence[Asked]
    question_count: int

    def __bool__(self) -> bool:
        return bool(self.request_count or self.question_count)


def waiting_at_the_desk(today: date) -> Waiting:
    """Four queries; one where no request is open."""
    found = counts(today)
    if not found["open"]:
        return Waiting((), 0, 0, (), 0)
    lines = [line_of(one, today) for one in use_requests(Wanted(state="open"), today)[:_MOST]]
    asked = ProviderQuestion.objects.filter(reply="", request__in=UseRequest.objects.filter(OPEN))
    rows = list(asked.select_related("paper", "request").order_by("asked_on", "pk")[:_MOST])
    count = asked.count() if len(rows) == _MOST else len(rows)
    questions = [Asked(one, (today - one.asked_on).days) for one in rows]
    return Waiting(lines, found["open"], found["late"], questions, count)
