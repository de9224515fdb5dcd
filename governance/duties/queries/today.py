"""Duties on the page of the day and on the page of a paper: late ones first, then the next; counted whole."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

from django.db.models import Count, F, Q, QuerySet

from governance.duties.models import Duty
from governance.duties.queries.listing import OPEN, DutyLine, ahead_days, lines, with_state
from governance.papers.models import Paper

MOST: Final = 5


@dataclass(frozen=True)
class Numbers:
    """How many duties are open, and of them late, due, and without a day. ahead: days before its day from which one
    counts as due."""

    open: int
    late: int
    due: int
    unknown: int
    ahead: int


@dataclass(frozen=True)
class Panel:
    """The first of the open duties, and how many there are."""

    lines: Sequence[DutyLine]
    numbers: Numbers

    @property
    def more(self) -> int:
        return self.numbers.open - len(self.lines)


def numbers(rows: QuerySet[Duty], today: date, ahead: int) -> Numbers:
    """Counts of the open ones among some duties: one query."""
    due = Q(due_on__gte=today, due_on__lte=today + timedelta(ahead))
    found = rows.filter(OPEN).order_by().aggregate(
        open=Count("pk"), late=Count("pk", filter=Q(due_on__lt=today)), due=Count("pk", filter=due),
        unknown=Count("pk", filter=Q(due_on__isnull=True)),
    )  # fmt: skip
    return Numbers(**found, ahead=ahead)


def duties_panel(today: date, reader: Any) -> Panel:
    """What is late and what comes next of all duties: three queries, two where nothing is open."""
    return _panel(Duty.objects.all(), today, reader)


def panel_of_paper(paper: Paper, today: date, reader: Any) -> Panel:
    """The same for the duties of one paper."""
    return _panel(Duty.objects.filter(paper=paper), today, reader)


def _panel(rows: QuerySet[Duty], today: date, reader: Any) -> Panel:
    counted = numbers(rows, today, ahead_days())
    if not counted.open:
        return Panel((), counted)
    shown = with_state(rows.filter(OPEN), today, counted.ahead).select_related("paper", "promise", "assignee")
    first = shown.order_by(F("due_on").asc(nulls_last=True), "pk")[:MOST]
    return Panel(lines(list(first), reader), counted)
