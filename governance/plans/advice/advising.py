"""All advice for a plan."""

from __future__ import annotations

from governance.plans.advice.saying import Advice, gathered
from governance.plans.queries.check import PlanCheck


def advise(check: PlanCheck) -> tuple[Advice, ...]:
    """What could be done before anyone leaves: what is due by a day first, then by layer."""
    return gathered([], {one.stop.pk: one.stop.name for one in check.loaded.stops})
