"""Papers on file that are not attached, and would make an open cell covered if they were."""

from __future__ import annotations

from governance.engine.tables import Layer
from governance.plans.judging import PaperUsed
from governance.plans.queries.check import PlanCheck


def candidates(check: PlanCheck) -> dict[tuple[int, Layer], tuple[PaperUsed, ...]]:
    """By stop and layer the papers that would make an open cell covered, as the engine answers; cells without: none."""
    return {}
