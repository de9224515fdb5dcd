"""A plan read whole: stops with targets, traps, way home and the boundary of their site. Six queries."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from datetime import date

from django.db.models import Q

from accessions.sites.models import Site, SiteBoundary
from governance.engine.tables import fold
from governance.plans.models import Consignment, FieldPlan, Stop
from governance.plans.planned_rows import LoadedPlan, LoadedStop, PlannedRow, planned_rows


def load_plan(plan: FieldPlan) -> LoadedPlan:
    """The plan as it stands in the database."""
    (loaded,) = load_plans([plan])
    return loaded


def load_plans(plans: Sequence[FieldPlan]) -> list[LoadedPlan]:
    """Several at once, in their order."""
    keys = [plan.pk for plan in plans]
    stops = list(
        Stop.objects.filter(plan__in=keys).select_related("site").prefetch_related("targets", "traps").order_by(
            "plan", "position", "pk"
        )
    )  # fmt: skip
    homes: dict[int, list[Consignment]] = defaultdict(list)
    for home in Consignment.objects.filter(plan__in=keys):
        homes[home.plan_id].append(home)
    boundaries = _boundaries(stop for stop in stops if stop.site_id and not stop.area and stop.longitude_deg is None)
    of_plan: dict[int, list[LoadedStop]] = defaultdict(list)
    for stop in stops:
        of_plan[stop.plan_id].append(
            LoadedStop(
                stop, tuple(stop.targets.all()), tuple(stop.traps.all()), _home(stop, homes[stop.plan_id]),
                _holding(boundaries.get(stop.site_id or 0, ()), stop.first_on),
            )
        )  # fmt: skip
    return [LoadedPlan(plan, tuple(of_plan[plan.pk]), tuple(homes[plan.pk])) for plan in plans]


def _home(stop: Stop, homes: Sequence[Consignment]) -> Consignment | None:
    return next((home for home in homes if home.pk == stop.consignment_id), homes[0] if homes else None)


def _boundaries(stops: Iterable[Stop]) -> dict[int, list[SiteBoundary]]:
    sites = {stop.site_id for stop in stops}
    found: dict[int, list[SiteBoundary]] = defaultdict(list)
    for boundary in SiteBoundary.objects.filter(site__in=sites) if sites else ():
        found[boundary.site_id].append(boundary)
    return found


def _holding(boundaries: Sequence[SiteBoundary], day: date | None) -> SiteBoundary | None:
    """The boundary that holds on the first day; while that is not fixed, one that is open to the future."""
    return next((boundary for boundary in boundaries if _holds(boundary, day)), None)


def _holds(boundary: SiteBoundary, day: date | None) -> bool:
    if day is None:
        return boundary.held_to is None
    return (boundary.held_from is None or boundary.held_from <= day) and (
        boundary.held_to is None or day <= boundary.held_to
    )


def site_names() -> dict[int, str]:
    """The names of sites that no other site bears: a shared name names none (as for specimens)."""
    names = list(Site.objects.exclude(name="").values_list("pk", "name"))
    holders = Counter(fold(name) for _, name in names)
    holders.update(fold(code) for code in Site.objects.values_list("code", flat=True))
    return {pk: name for pk, name in names if holders[fold(name)] == 1}


def rows_of(plans: Sequence[LoadedPlan]) -> list[PlannedRow]:
    """The rows of several plans."""
    names = site_names()
    return [row for loaded in plans for row in planned_rows(loaded, names)]


def open_plans(papers: Iterable[int], but: FieldPlan) -> list[FieldPlan]:
    """Other open plans to which any of these papers is attached: they count under its caps too."""
    attached = Q(plan_papers__paper__in=list(papers), plan_papers__unlinked_at__isnull=True)
    found = FieldPlan.objects.filter(attached, closed_at__isnull=True, accession__isnull=True)
    return list(found.exclude(pk=but.pk).distinct().order_by("pk"))
