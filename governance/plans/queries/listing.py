"""Field plans for the list: what they are, when and where, how they stand. Nothing is judged here: that takes long."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any, Final

from django.db.models import Count, Exists, F, Max, Min, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce, Greatest, Least
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from governance.plans.models import FieldPlan, PlanSignOff, PlanVersion, Stop, StopTrap

SORTS: Final = {
    "reference": "reference", "title": "title", "first": "first_on", "last": "last_on", "stops": "stop_count",
}  # fmt: skip
"""Columns by which the list is ordered, each both ways."""


class PlanState(StrEnum):
    """How far a plan is."""

    PLANNED = "planned"
    SIGNED = "signed"
    TURNED = "turned"
    CLOSED = "closed"


STATE_WORDS: Final = {
    PlanState.PLANNED: _("Being planned"),
    PlanState.SIGNED: _("Signed off"),
    PlanState.TURNED: _("Turned into an accession"),
    PlanState.CLOSED: pgettext_lazy("plan", "Closed"),
}


@dataclass(frozen=True)
class PlanFilter:
    """What the list is narrowed to; blank is all."""

    q: str = ""
    state: str = ""
    year: str = ""
    country: str = ""
    sort: str = "-first"


@dataclass(frozen=True)
class PlanRow:
    """One line of the list. changed_since: the plan was changed after it was signed off."""

    plan: Any
    countries: tuple[str, ...]
    state: PlanState
    changed_since: bool

    @property
    def state_words(self) -> Any:
        return STATE_WORDS[self.state]


def plans(narrowed: PlanFilter) -> QuerySet[FieldPlan]:
    """Plans with ``first_on``, ``last_on``, ``stop_count``, ``signed_number`` and ``newest_number``: one query."""
    stops = Stop.objects.filter(plan=OuterRef("pk")).order_by().values("plan")
    traps = StopTrap.objects.filter(stop__plan=OuterRef("pk")).order_by().values("stop__plan")
    signed = PlanSignOff.objects.filter(version__plan=OuterRef("pk"), withdrawn_at__isnull=True)
    versions = PlanVersion.objects.filter(plan=OuterRef("pk")).order_by("-number")
    rows = FieldPlan.objects.select_related("accession").annotate(
        stop_count=Coalesce(Subquery(stops.annotate(n=Count("pk")).values("n")), 0),
        first_stop_on=Subquery(stops.annotate(n=Min("first_on")).values("n")),
        last_stop_on=Subquery(stops.annotate(n=Max("last_on")).values("n")),
        first_trap_on=Subquery(traps.annotate(n=Min("first_on")).values("n")),
        last_trap_on=Subquery(traps.annotate(n=Max("last_on")).values("n")),
        signed_number=Subquery(signed.order_by("-version__number").values("version__number")[:1]),
        newest_number=Subquery(versions.values("number")[:1]),
    )
    rows = rows.annotate(  # SQLite's MIN of two is NULL where one is, PostgreSQL's LEAST is not
        first_on=Least(Coalesce("first_stop_on", "first_trap_on"), Coalesce("first_trap_on", "first_stop_on")),
        last_on=Greatest(Coalesce("last_stop_on", "last_trap_on"), Coalesce("last_trap_on", "last_stop_on")),
    )
    return _ordered(_narrowed(rows, narrowed), narrowed.sort)


def _narrowed(rows: QuerySet[FieldPlan], narrowed: PlanFilter) -> QuerySet[FieldPlan]:
    stops = Stop.objects.filter(plan=OuterRef("pk"))
    for word in narrowed.q.split():
        own = Q(reference__icontains=word) | Q(title__icontains=word) | Q(leader__icontains=word)
        named = stops.filter(Q(name__icontains=word) | Q(people__icontains=word) | Q(targets__name__icontains=word))
        rows = rows.filter(own | Q(Exists(named)))
    if narrowed.year:
        year = int(narrowed.year)
        rows = rows.filter(Exists(stops.filter(Q(first_on__year=year) | Q(last_on__year=year))))
    if narrowed.country:
        in_it = Q(country=narrowed.country) | Q(country="", site__country=narrowed.country)
        rows = rows.filter(Exists(stops.filter(in_it)))
    return rows.filter(_in_state(narrowed.state)) if narrowed.state else rows


def _in_state(state: str) -> Q:
    is_open = Q(closed_at__isnull=True, accession__isnull=True)
    return {
        PlanState.PLANNED: is_open & Q(signed_number__isnull=True),
        PlanState.SIGNED: is_open & Q(signed_number__isnull=False),
        PlanState.TURNED: Q(accession__isnull=False),
        PlanState.CLOSED: Q(closed_at__isnull=False, accession__isnull=True),
    }[PlanState(state)]


def _ordered(rows: QuerySet[FieldPlan], sort: str) -> QuerySet[FieldPlan]:
    column = F(SORTS.get(sort.removeprefix("-"), SORTS["first"]))
    order = column.desc(nulls_first=True) if sort.startswith("-") else column.asc(nulls_last=True)
    return rows.order_by(order, "reference")


def plan_rows(found: list[Any]) -> list[PlanRow]:
    """Plans of ``plans`` with their countries and state: one query for all."""
    named = Stop.objects.filter(plan__in=[plan.pk for plan in found]).order_by("position", "pk")
    countries: dict[int, dict[str, None]] = {}
    for plan, own, of_site in named.values_list("plan", "country", "site__country"):
        if code := own or of_site:
            countries.setdefault(plan, {})[code] = None
    return [PlanRow(plan, tuple(countries.get(plan.pk, {})), *_standing(plan)) for plan in found]


def _standing(plan: Any) -> tuple[PlanState, bool]:
    if plan.accession_id is not None:
        return PlanState.TURNED, False
    if plan.closed_at is not None:
        return PlanState.CLOSED, False
    if plan.signed_number is None:
        return PlanState.PLANNED, False
    return PlanState.SIGNED, plan.newest_number != plan.signed_number


def years_planned() -> list[int]:
    """The years in which stops begin or end, newest first."""
    days = Stop.objects.order_by().values_list("first_on", "last_on").distinct()
    return sorted({day.year for pair in days for day in pair if day}, reverse=True)


def countries_planned() -> list[str]:
    """The countries that stops are in."""
    pairs = Stop.objects.order_by().values_list("country", "site__country").distinct()
    return sorted({own or of_site for own, of_site in pairs if own or of_site})


def next_reference(today: date) -> str:
    """The number after the highest of the plans numbered ``FP-YYYY-NN``, in the year ahead of those that are.

    A plan that is begun in the second half of a year is mostly for the next, so the year offered is that of the newest
    such number if it lies ahead.
    """
    pattern = re.compile(r"FP-(\d{4})-(\d{1,4})")
    found = [match for text in FieldPlan.objects.filter(reference__startswith="FP-").values_list(
        "reference", flat=True) if (match := pattern.fullmatch(text))]  # fmt: skip
    year = max([today.year, *(int(match[1]) for match in found)])
    year = min(year, today.year + 1)
    number = max((int(match[2]) for match in found if int(match[1]) == year), default=0) + 1
    return f"FP-{year}-{number:02}"
