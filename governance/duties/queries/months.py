"""A month of duties as weeks of days."""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

from django.db.models import Count, F, Window
from django.db.models.functions import RowNumber

from governance.duties.queries.listing import DutyLine, Wanted, duties, lines
from governance.engine.duties import add_months

A_DAY: Final = 4
"""Duties that a day of the month shows; the others are counted, and behind a link."""

_FIRST, _LAST = date(1900, 1, 1), date(2999, 12, 1)


@dataclass(frozen=True)
class Day:
    """One day, with its first duties. is_beside: it belongs to the month before or after."""

    day: date
    lines: Sequence[DutyLine]
    count: int
    is_beside: bool
    is_today: bool

    @property
    def more(self) -> int:
        return self.count - len(self.lines)


@dataclass(frozen=True)
class Month:
    """Weeks from Monday to Sunday; before and after: the first days of the months beside it."""

    first: date
    weeks: Sequence[Sequence[Day]]
    count: int

    @property
    def before(self) -> date | None:
        return add_months(self.first, -1) if self.first > _FIRST else None

    @property
    def after(self) -> date | None:
        return add_months(self.first, 1) if self.first < _LAST else None


def month_of(text: str, today: date) -> date:
    """The first day of the month that is asked for as "2026-11"; of this month where that makes no sense."""
    try:
        year, month = text.split("-")
        found = date(int(year), int(month), 1)
    except ValueError:
        return today.replace(day=1)
    return min(max(found, _FIRST), _LAST)


def listed(found: Month) -> list[Day]:
    """The days of a month on which something falls due, as a list."""
    return [day for week in found.weeks for day in week if day.count and not day.is_beside]


def month(first: date, who: str, reader: Any, today: date, ahead: int) -> Month:
    """The month with what is asked for in it: two queries, whatever the number of duties."""
    weeks = calendar.Calendar().monthdatescalendar(first.year, first.month)
    span = (weeks[0][0], weeks[-1][-1])
    rows = duties(Wanted(who=who, state="all"), reader, today, ahead).filter(
        due_on__range=span, waived_on__isnull=True, dropped_on__isnull=True
    )
    counted = dict(rows.order_by().values_list("due_on").annotate(n=Count("pk")))
    place = Window(RowNumber(), partition_by=F("due_on"), order_by=[F("done_on").asc(nulls_first=True), "pk"])
    shown = rows.annotate(_place=place).filter(_place__lte=A_DAY).order_by("due_on", "_place")
    of_day: dict[date, list[DutyLine]] = {}
    for line in lines(list(shown), reader):
        of_day.setdefault(line.duty.due_on, []).append(line)  # type: ignore[arg-type]  # the range leaves none without
    made = [
        [
            Day(day, of_day.get(day, []), counted.get(day, 0), day.month != first.month, day == today)
            for day in week
        ]
        for week in weeks
    ]  # fmt: skip
    last = add_months(first, 1) - timedelta(1)
    return Month(first, made, sum(n for day, n in counted.items() if first <= day <= last))
