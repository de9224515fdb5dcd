"""Trips that are planned under papers, with the notices that were given of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import date

from django.db.models import Q

from governance.engine.duties import Trip
from governance.papers.queries import Links, links_of
from governance.plans.models import FieldPlan, PlanNotice
from governance.plans.planned_rows import LoadedPlan, LoadedStop
from governance.plans.queries.loading import load_plans
from governance.plans.queries.speaking import attached, stop_keys

_Told = Mapping[int | None, date]
"""By stop the first day on which notice was given; None: for the whole plan."""


def planned_trips(papers: Collection[int]) -> dict[int, dict[str, Trip]]:
    """By paper the plans for which it speaks, by their keys. About ten queries.

    A plan that became an accession is no plan any more: its days count until those of its material are known.
    """
    rows = FieldPlan.objects.filter(Q(closed_at__isnull=True) | Q(accession__isnull=False)).order_by("pk")
    plans = load_plans(list(rows.select_related("accession")))
    by_attaching, linked = attached(plans), links_of(list(papers))
    notices = _notices(papers)
    found: dict[int, dict[str, Trip]] = defaultdict(dict)
    for loaded in plans:
        keys = stop_keys(loaded)
        for paper in papers:
            own = by_attaching.get(paper, frozenset())
            stops = [one for one in loaded.stops if keys[one.stop.pk] in own or _is_linked(one, linked.get(paper))]
            if stops:
                trip = _trip(loaded, stops, notices.get((paper, loaded.plan.pk), {}))
                found[paper][trip.key] = trip
    return found


def _is_linked(one: LoadedStop, links: Links | None) -> bool:
    return links is not None and (links.all_accessions or one.stop.site_id in links.sites)


def _notices(papers: Collection[int]) -> dict[tuple[int, int], dict[int | None, date]]:
    found: dict[tuple[int, int], dict[int | None, date]] = defaultdict(dict)
    rows = PlanNotice.objects.filter(paper__in=list(papers)).order_by("-given_on")
    for paper, plan, stop, given_on in rows.values_list("paper_id", "plan_id", "stop_id", "given_on"):
        found[paper, plan][stop] = given_on
    return found


def _trip(loaded: LoadedPlan, stops: Sequence[LoadedStop], told: _Told) -> Trip:
    """first: of the stops of which no notice was given yet, if there are any."""
    plan = loaded.plan
    waiting = [] if None in told else [one for one in stops if one.stop.pk not in told]
    firsts = [first for one in waiting or stops if (first := one.days[0])]
    lasts = [one.days[1] for one in stops]
    days = [last for last in lasts if last]
    return Trip(
        f"plan-{plan.pk}", f"{plan.reference}, {plan.title}", min(firsts, default=None),
        max(days) if len(days) == len(lasts) else None, is_planned=plan.is_open,
        told_on=None if waiting else _told_on(stops, told),
    )  # fmt: skip


def _told_on(stops: Sequence[LoadedStop], told: _Told) -> date | None:
    """When the last of the stops was told of."""
    of_plan = told.get(None)
    days = [day for one in stops if (day := min(filter(None, (of_plan, told.get(one.stop.pk))), default=None))]
    return max(days, default=None)
