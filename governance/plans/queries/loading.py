"""A plan read whole: stops with targets, traps, way home and the boundary of their site. Six queries."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from django.db.models import Exists, OuterRef, Q

from accessions.material.models import Specimen
from accessions.sites.models import Site, SiteBoundary
from governance.engine.dates import subtract
from governance.engine.tables import fold
from governance.papers.queries import Links
from governance.plans.models import Consignment, FieldPlan, PlanPaper, Stop
from governance.plans.planned_rows import LoadedPlan, LoadedStop, PlannedRow, days_of, planned_rows


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
        traps = tuple(stop.traps.all())
        of_plan[stop.plan_id].append(
            LoadedStop(
                stop, tuple(stop.targets.all()), traps, _home(stop, homes[stop.plan_id]),
                holding(boundaries.get(stop.site_id or 0, ()), *days_of(stop, traps)),
            )
        )  # fmt: skip
    return [LoadedPlan(plan, tuple(of_plan[plan.pk]), tuple(homes[plan.pk])) for plan in plans]


def _home(stop: Stop, homes: Sequence[Consignment]) -> Consignment | None:
    """The way home that the stop names, else the first of the plan."""
    if stop.consignment_id is None:
        return homes[0] if homes else None
    return next((home for home in homes if home.pk == stop.consignment_id), None)


def _boundaries(stops: Iterable[Stop]) -> dict[int, list[SiteBoundary]]:
    sites = {stop.site_id for stop in stops}
    found: dict[int, list[SiteBoundary]] = defaultdict(list)
    for boundary in SiteBoundary.objects.filter(site__in=sites) if sites else ():
        found[boundary.site_id].append(boundary)
    return found


def holding(
    boundaries: Sequence[SiteBoundary], first_on: date | None, last_on: date | None
) -> tuple[SiteBoundary, ...]:
    """The boundaries that hold on any day of a period; none if there is a day on which no boundary holds.

    While a day is not fixed, any day is meant.
    """
    first = first_on.toordinal() if first_on else 1
    last = last_on.toordinal() if last_on else date.max.toordinal()
    found = []
    open_days = [(first, last)]
    for boundary in boundaries:
        from_day = boundary.held_from.toordinal() if boundary.held_from else 1
        to_day = boundary.held_to.toordinal() if boundary.held_to else date.max.toordinal()
        if from_day <= last and to_day >= first:
            found.append(boundary)
            open_days = subtract(open_days, [(from_day, to_day)])
    return () if open_days else tuple(found)


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


def open_plans(counted: Mapping[int, Links], but: FieldPlan) -> list[FieldPlan]:
    """Other open plans for which any of these papers speaks: what they expect counts under its limits too.

    So does what a plan expected that became an accession, until the first of its specimens is entered: the trip is over
    and the material is taken, but nothing on file says so yet.

    Args:
        counted: papers, with what they are linked to in the register: for a site, or for all accessions, they speak
            without being linked to the plan.
    """
    if not counted:
        return []
    entered = Specimen.objects.filter(accession=OuterRef("accession"))
    found = FieldPlan.objects.filter(~Exists(entered), closed_at__isnull=True).exclude(pk=but.pk)
    if not any(links.all_accessions for links in counted.values()):
        sites = set().union(*(links.sites for links in counted.values()))
        attached = PlanPaper.objects.filter(paper__in=list(counted), unlinked_at__isnull=True).values("plan")
        found = found.filter(Q(pk__in=attached) | Q(stops__site__in=sites)).distinct()
    return list(found.order_by("pk"))
