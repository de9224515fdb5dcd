"""Versions of a plan: all of them, and one as it was."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.paging import paged
from governance.plans.models import FieldPlan, PlanVersion
from governance.plans.queries.comparing import compared
from governance.plans.queries.kept_versions import as_it_was, version_lines, versions_of


@require_GET
@requires(Verb.READ)
def plan_versions(request: HttpRequest, pk: int) -> HttpResponse:
    """Who kept which version when, and why."""
    plan = get_object_or_404(FieldPlan, pk=pk)
    pager = paged(request, versions_of(plan))
    lines = version_lines(plan, list(pager["page"].object_list))
    return render(request, "plans/versions.html", {"plan": plan, "lines": lines, **pager})


@require_GET
@requires(Verb.READ)
def plan_version(request: HttpRequest, pk: int) -> HttpResponse:
    """The plan as it was, and what differs: from the version before, from now, or from the one that is asked for."""
    version = get_object_or_404(PlanVersion.objects.select_related("plan", "kept_by"), pk=pk)
    context = {
        "plan": version.plan,
        "version": version,
        "old": as_it_was(version.contents),
        "compared": compared(version, request.GET.get("with", "")),
    }
    return render(request, "plans/version.html", context)
