"""Notices: under which papers of a plan they can be given, and which were."""

from __future__ import annotations

from django.db.models import QuerySet

from governance.papers.models import Paper
from governance.plans.models import FieldPlan, PlanNotice
from governance.plans.queries.loading import load_plan
from governance.plans.queries.speaking import attached, linked_anyway


def papers_for_notice(plan: FieldPlan) -> QuerySet[Paper]:
    """The papers that speak for a plan, by their number."""
    loaded = load_plan(plan)
    return Paper.objects.filter(pk__in=set(attached([loaded])) | linked_anyway(loaded)).order_by("reference")


def notices_of(plan: FieldPlan) -> QuerySet[PlanNotice]:
    """The notices that are recorded, by day, with their papers and stops."""
    return PlanNotice.objects.filter(plan=plan).select_related("paper", "stop")
