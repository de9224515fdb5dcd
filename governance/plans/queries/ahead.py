"""Open plans and applications of the next months, as far as they are known without a check."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.db.models import Count, F, Max, Min, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from governance.plans.models import Application, FieldPlan, PlanVersion
from governance.plans.queries.applications import OPEN_PLAN, Line, is_open, late, line_of

AHEAD_DAYS: Final = 274
"""Nine months: the slowest papers take about as long."""

_MOST = 5


@dataclass(frozen=True)
class PlanAhead:
    """An open plan. first_on: first day of any stop; None: not fixed. start_by: the first day that its applications
    to be asked for have written down. changed_at: when the plan was last changed."""

    plan: FieldPlan
    today: date
    first_on: date | None
    stops: int
    waiting: int
    late: int
    start_by: date | None
    changed_at: datetime | None

    @property
    def days(self) -> int | None:
        """Days until the first stop."""
        return (self.first_on - self.today).days if self.first_on else None


@dataclass(frozen=True)
class Ahead:
    """What Today shows. plan_count, mine_count: how many there are, also those that are not shown."""

    plans: Sequence[PlanAhead]
    plan_count: int
    mine: Sequence[Line]
    mine_count: int

    def __bool__(self) -> bool:
        return bool(self.plan_count or self.mine_count)


def plans_ahead(today: date, reader: Any) -> Ahead:
    """Three queries, whatever the number of plans; no plan is checked here, since a check takes its time."""
    plans = [_ahead(plan, today) for plan in _plans(today)]
    mine = [line_of(one, today) for one in _mine(reader)]
    mine.sort(key=lambda line: (line.next_on or date.max, line.application.pk))
    return Ahead(plans[:_MOST], len(plans), mine[:_MOST], len(mine))


def _plans(today: date) -> QuerySet[FieldPlan]:
    """Open plans that are not over and begin within some months, or on a day that is not fixed yet."""
    stops = FieldPlan.objects.filter(pk=OuterRef("pk")).annotate(
        first=Min("stops__first_on"), last=Coalesce(Max("stops__last_on"), Max("stops__first_on")), n=Count("stops")
    )
    asked = Application.objects.filter(plan=OuterRef("pk")).order_by().values("plan")
    open_ones = asked.filter(is_open())
    versions = PlanVersion.objects.filter(plan=OuterRef("pk")).order_by("-number")
    rows = FieldPlan.objects.filter(OPEN_PLAN).annotate(
        first_on=Subquery(stops.values("first")), last_on=Subquery(stops.values("last")),
        stop_count=Subquery(stops.values("n")),
        waiting=Subquery(open_ones.annotate(n=Count("pk")).values("n")),
        late=Subquery(asked.filter(late(today)).annotate(n=Count("pk")).values("n")),
        start_by=Subquery(open_ones.filter(asked_on__isnull=True).annotate(day=Min("start_by")).values("day")),
        changed_at=Subquery(versions.values("kept_at")[:1]),
    )  # fmt: skip
    soon = Q(first_on__lte=today + timedelta(AHEAD_DAYS)) & (Q(last_on__isnull=True) | Q(last_on__gte=today))
    return rows.filter(soon | Q(first_on__isnull=True)).order_by(F("first_on").asc(nulls_last=True), "pk")


def _ahead(plan: Any, today: date) -> PlanAhead:
    return PlanAhead(
        plan, today, plan.first_on, plan.stop_count or 0, plan.waiting or 0, plan.late or 0, plan.start_by,
        plan.changed_at,
    )  # fmt: skip


def _mine(reader: Any) -> QuerySet[Application]:
    """Applications without an answer that are given to the reader, of open plans."""
    of_open = Q(plan__closed_at__isnull=True, plan__accession__isnull=True)
    rows = Application.objects.filter(is_open() & of_open, assignee=reader)
    return rows.select_related("plan", "assignee", "paper").prefetch_related("application_stops__stop")
