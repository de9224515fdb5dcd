"""Versions of a plan: the whole of it, kept after each change, in the same transaction."""

from __future__ import annotations

from typing import Any

from django.db.models import Max

from governance.plans.models import FieldPlan, PlanVersion
from governance.plans.queries.contents import contents


def keep_version(plan: FieldPlan, *, by: Any, why: str) -> PlanVersion:
    """Keep the plan as it is now. Called last by every action that changes a plan, inside its transaction.

    Nothing new is kept if nothing differs from the newest version.
    """
    newest = plan.versions.order_by("-number").first()
    now = contents(plan)
    if newest is not None and newest.contents == now:
        return newest
    number = (plan.versions.aggregate(Max("number"))["number__max"] or 0) + 1
    return PlanVersion.objects.create(plan=plan, number=number, kept_by=by, why=why[:200], contents=now)
