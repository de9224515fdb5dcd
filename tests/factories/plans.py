"""Rows of field plans for tests: minimal and valid; what matters to a test it sets itself."""

from __future__ import annotations

from datetime import date
from itertools import count
from typing import Any

from governance.papers.models import Paper
from governance.plans.models import (
    Application,
    ApplicationScan,
    Consignment,
    FieldPlan,
    PlanDecision,
    PlanNotice,
    PlanPaper,
    Stop,
    StopTarget,
    StopTrap,
)
from governance.scans.models import Scan
from tests.factories.register import person

_numbers = count(1)


def field_plan(**values: Any) -> FieldPlan:
    """A plan without stops."""
    number = next(_numbers)
    return FieldPlan.objects.create(**{"reference": f"FP-{number}", "title": f"Plan {number}", **values})


def stop(plan: FieldPlan | None = None, **values: Any) -> Stop:
    """A point in Sweden with a radius, for three days of June 2027."""
    defaults = {
        "name": f"Stop {next(_numbers)}", "country": "SE", "longitude_deg": 15.3, "latitude_deg": 61.95,
        "radius_m": 100.0, "first_on": date(2027, 6, 3), "last_on": date(2027, 6, 5), "methods": "hand net",
        "people": "J. Ek",
    }  # fmt: skip
    return Stop.objects.create(plan=plan or field_plan(), **{**defaults, **values})


def target(stop: Stop, name: str = "Trichoptera", **values: Any) -> StopTarget:
    """A group at a stop, of no expected number."""
    return StopTarget.objects.create(stop=stop, name=name, **values)


def trap(stop: Stop, **values: Any) -> StopTrap:
    """A Malaise trap that stands as long as the stop lasts."""
    return StopTrap.objects.create(
        stop=stop, **{"method": "Malaise trap", "first_on": stop.first_on, "last_on": stop.last_on, **values}
    )


def way_home(plan: FieldPlan, **values: Any) -> Consignment:
    """A way home without days."""
    return Consignment.objects.create(plan=plan, **values)


def attach(plan: FieldPlan, paper: Paper, by: Any, **values: Any) -> PlanPaper:
    """A paper linked to a plan, past the actions."""
    return PlanPaper.objects.create(plan=plan, paper=paper, linked_by=by, **values)


def application(plan: FieldPlan | None = None, **values: Any) -> Application:
    """Something to be asked for: an export permit for all stops, given to nobody."""
    defaults = {"layer": 5, "kind": "export-permit", "authority": "Nazvri Directorate"}
    return Application.objects.create(plan=plan or field_plan(), **{**defaults, **values})


def application_scan(application: Application, scan: Scan) -> ApplicationScan:
    """A file of an application, past the actions."""
    return ApplicationScan.objects.create(application=application, scan=scan, added_by=scan.received_by)


def notice(plan: FieldPlan, paper: Paper, **values: Any) -> PlanNotice:
    """A notice to the warden, past the actions."""
    values = {"given_on": date(2026, 11, 20), "note": "the warden, by letter", **values}
    return PlanNotice.objects.create(plan=plan, paper=paper, **values)


def decision(plan: FieldPlan, layer: int = 0, **values: Any) -> PlanDecision:
    """A decision for the whole plan that the layer needs no paper."""
    defaults = {"reason": "The land is the museum’s own.", "evidence": "land register, folio 12"}
    made_by = values.pop("decided_by", None) or person()
    return PlanDecision.objects.create(plan=plan, layer=layer, decided_by=made_by, **{**defaults, **values})
