"""All field plans."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from accessions.people.access import Verb, requires
from governance.plans.models import FieldPlan


@requires(Verb.READ)
def plan_list(request: HttpRequest) -> HttpResponse:
    """The list of plans."""
    return render(request, "plans/plans.html", {"plans": FieldPlan.objects.all()})
