"""Field plans: stops, the way home, papers and decisions for them, applications, versions and sign-offs."""

from governance.plans.models.applications import Application, ApplicationScan, ApplicationStop
from governance.plans.models.papers import PlanDecision, PlanNotice, PlanPaper
from governance.plans.models.plan import PLANNED_USES, Consignment, FieldPlan, PlanLanguage
from governance.plans.models.stops import FIRST_DAY, LAST_DAY, Stop, StopTarget, StopTrap
from governance.plans.models.versions import PlanSignOff, PlanVersion

__all__ = [
    "FIRST_DAY",
    "LAST_DAY",
    "PLANNED_USES",
    "Application",
    "ApplicationScan",
    "ApplicationStop",
    "Consignment",
    "FieldPlan",
    "PlanDecision",
    "PlanLanguage",
    "PlanNotice",
    "PlanPaper",
    "PlanSignOff",
    "PlanVersion",
    "Stop",
    "StopTarget",
    "StopTrap",
]
