"""Which papers speak for the stops of a plan, and what was decided for them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from django.db.models import Q

from governance.engine.tables import Layer
from governance.papers.models import PaperLink
from governance.papers.queries.links import standing
from governance.plans.models import PlanDecision, PlanPaper
from governance.plans.planned_rows import LoadedPlan, plan_key


def stop_keys(loaded: LoadedPlan) -> dict[int, str]:
    """By stop what the engine knows it by."""
    return {one.stop.pk: plan_key(loaded.plan.pk, one.stop.pk) for one in loaded.stops}


def attached(plans: Sequence[LoadedPlan]) -> dict[int, frozenset[str]]:
    """By paper the stops for which it is linked, to the plan or to the stop alone."""
    keys = {loaded.plan.pk: stop_keys(loaded) for loaded in plans}
    found: dict[int, set[str]] = defaultdict(set)
    rows = PlanPaper.objects.filter(plan__in=list(keys), unlinked_at__isnull=True).values_list(
        "paper_id", "plan_id", "stop_id"
    )
    for paper, plan, stop in rows:
        found[paper].update(_meant(keys[plan], stop))
    return {paper: frozenset(stops) for paper, stops in found.items()}


def linked_anyway(loaded: LoadedPlan) -> set[int]:
    """Papers that speak without being linked to the plan: linked to the site of a stop, or to all accessions."""
    sites = {one.stop.site_id for one in loaded.stops if one.stop.site_id}
    links: list[int] = list(
        standing(PaperLink.objects.filter(Q(site__in=sites) | Q(all_accessions=True)))
        .order_by()
        .values_list("paper_id", flat=True)
        .distinct()
    )
    return set(links)


def decided(loaded: LoadedPlan) -> frozenset[tuple[Layer, str]]:
    """Layers of which a person decided that no paper is required, by stop."""
    keys = stop_keys(loaded)
    rows = PlanDecision.objects.filter(plan=loaded.plan, withdrawn_at__isnull=True).values_list("layer", "stop_id")
    return frozenset((Layer(layer), key) for layer, stop in rows for key in _meant(keys, stop))


def _meant(keys: dict[int, str], stop: int | None) -> list[str]:
    """All stops of the plan, or the one that is named, if it is a stop of this plan."""
    return list(keys.values()) if stop is None else [key for pk, key in keys.items() if pk == stop]
