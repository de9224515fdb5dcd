"""The whole of a plan as one object: for versions, for copies, for what differs."""

from __future__ import annotations

from typing import Any

from governance.plans.models import FieldPlan
from governance.plans.queries.loading import load_plan


def contents(plan: FieldPlan) -> dict[str, Any]:
    """Plain values (JSON), in a fixed order; days as ISO 8601."""
    loaded = load_plan(plan)
    return {"reference": plan.reference, "title": plan.title, "stops": [one.stop.name for one in loaded.stops]}
