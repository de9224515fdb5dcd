"""Versions of a plan: the whole of it, kept after each change, in the same transaction."""

from __future__ import annotations

from typing import Any, Final

from django.db import transaction

from governance.plans.models import FieldPlan, PlanVersion
from governance.plans.queries.contents import contents

WHY_LENGTH: Final = 200
"""Longest reason that a version holds."""


def keep_version(plan: FieldPlan, *, by: Any, why: str) -> PlanVersion:
    """Keep the plan as it is now. Called last by every action that changes a plan, inside its transaction.

    Nothing new is kept if nothing differs from the newest version. The plan is locked (``locked`` did it already), so
    that two changes at once keep two versions with two numbers, each with what the other changed.
    """
    with transaction.atomic():
        FieldPlan.objects.select_for_update().get(pk=plan.pk)
        newest = plan.versions.order_by("-number").first()
        now = contents(plan)
        if newest is not None and newest.contents == now:
            return newest
        number = newest.number + 1 if newest else 1
        return PlanVersion.objects.create(plan=plan, number=number, kept_by=by, why=why[:WHY_LENGTH], contents=now)
