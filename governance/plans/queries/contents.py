"""The whole of a plan as one object: for versions, for sign-offs, for what differs.

Plain values (JSON): days as ISO 8601, lists in a fixed order. Only what a person plans is in it, nothing of what the
check says. Positions are not written: the order of a list is the order of its rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any, Final

from django.db import models

from governance.plans.models import PLANNED_USES, Consignment, FieldPlan, PlanDecision, PlanPaper, Stop

Contents = dict[str, Any]

FACE: Final = ("reference", "title", "leader", "language", "contacts", "remarks")
STOP: Final = (
    "name", "country", "longitude_deg", "latitude_deg", "radius_m", "area", "first_on", "last_on", "methods", "people",
    "remarks",
)  # fmt: skip
TARGET: Final = ("name", "kingdom", "rank", "higher", "expected")
TRAP: Final = ("method", "number", "first_on", "last_on")
HOME: Final = (
    "from_country", "to_country", "exported_on", "imported_on", "transferred_on", "carrier", "cites",
)  # fmt: skip
DECISION: Final = ("reason", "evidence")
"""Fields that are written as they stand, by the model that they are of."""


def contents(plan: FieldPlan) -> Contents:
    """The plan as it stands in the database. Seven queries, however many stops."""
    stored = FieldPlan.objects.get(pk=plan.pk)
    stops = Stop.objects.filter(plan=stored).select_related("site").prefetch_related("targets", "traps")
    return {
        **_values(stored, FACE),
        "uses": _uses(stored.uses),
        "stops": [_stop(stop) for stop in stops.order_by("position", "pk")],
        "ways_home": [
            {"key": home.pk, **_values(home, HOME)} for home in Consignment.objects.filter(plan=stored).order_by(
                "position", "pk"
            )
        ],
        "papers": _papers(PlanPaper.objects.filter(plan=stored, unlinked_at__isnull=True).select_related("paper")),
        "decisions": _decisions(PlanDecision.objects.filter(plan=stored, withdrawn_at__isnull=True)),
    }  # fmt: skip


def _uses(uses: Sequence[str]) -> list[str]:
    """In the order of the choices, which is not the order of ticking."""
    known = list(PLANNED_USES)
    return sorted(set(uses), key=lambda use: (known.index(use) if use in known else len(known), use))


def _stop(stop: Stop) -> Contents:
    site = stop.site
    return {
        "key": stop.pk,
        **_values(stop, STOP),
        "site": None if site is None else {"key": site.pk, "code": site.code, "name": site.name},
        "way_home": stop.consignment_id,
        "targets": [_values(target, TARGET) for target in stop.targets.all()],
        "traps": [_values(trap, TRAP) for trap in stop.traps.all()],
    }


def _papers(rows: Iterable[PlanPaper]) -> list[Contents]:
    found = [{"paper": row.paper_id, "reference": row.paper.reference, "stop": row.stop_id} for row in rows]
    return sorted(found, key=lambda row: (row["paper"], row["stop"] or 0))


def _decisions(rows: Iterable[PlanDecision]) -> list[Contents]:
    found = [{"layer": row.layer, "stop": row.stop_id, **_values(row, DECISION)} for row in rows]
    return sorted(found, key=lambda row: (row["layer"], row["stop"] or 0))


def _values(row: models.Model, names: Sequence[str]) -> Contents:
    return {name: _plain(getattr(row, name)) for name in names}


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value
