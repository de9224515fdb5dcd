"""One field plan."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from accessions.people.access import Verb, requires
from governance.plans.models import FieldPlan
from governance.plans.queries.check import check_plan


@requires(Verb.READ)
def plan(request: HttpRequest, pk: int) -> HttpResponse:
    """The plan with its check."""
    found = get_object_or_404(FieldPlan, pk=pk)
    return render(request, "plans/plan.html", {"plan": found, "check": check_plan(found, today=timezone.localdate())})
