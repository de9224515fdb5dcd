"""One field plan with its check, whole and as the parts that are asked for anew."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.papers.restriction import is_readable
from governance.plans.advice import advise
from governance.plans.forms.attaching import AttachForm
from governance.plans.models import FieldPlan
from governance.plans.queries.applications import applications_of
from governance.plans.queries.cap_use import cap_uses
from governance.plans.queries.check import PlanCheck, check_plan
from governance.plans.queries.matrix import Only, matrix_of
from governance.plans.queries.need_lines import need_lines
from governance.plans.queries.one_plan import (
    answer_of,
    critical_words,
    decided_of,
    speaking_papers,
    standing_decisions,
    unknown_words,
)
from governance.plans.queries.papers_on_file import offers
from governance.plans.queries.plan_map import plan_map
from governance.plans.queries.plan_timeline import plan_timeline
from governance.plans.queries.signed import signed


@require_GET
@requires(Verb.READ)
def plan(request: HttpRequest, pk: int) -> HttpResponse:
    """The plan with its check."""
    found = found_plan(pk)
    check = check_plan(found, today=timezone.localdate())
    context = checked_context(request, found, check, Only.asked(request.GET))
    return render(request, "plans/plan.html", context)


@require_GET
@requires(Verb.READ)
def matrix(request: HttpRequest, pk: int) -> HttpResponse:
    """What the check says, for a page that is open: without script the whole page."""
    asked = Only.asked(request.GET).query
    whole = reverse("plans:plan", args=[pk]) + (f"?{asked}" if asked else "")
    if not request.htmx:  # type: ignore[attr-defined]  # set by the middleware of django-htmx
        return redirect(whole)
    answer = checked_again(request, found_plan(pk), Only.asked(request.GET))
    answer["HX-Replace-Url"] = whole
    return answer


def found_plan(pk: int) -> FieldPlan:
    """The plan of an address."""
    return get_object_or_404(FieldPlan.objects.select_related("accession", "closed_by", "copied_from"), pk=pk)


def checked_again(
    request: HttpRequest, plan: FieldPlan, only: Only, attach_form: AttachForm | None = None
) -> HttpResponse:
    """The parts that a change may have changed, for the script of the page to put in their places."""
    check = check_plan(plan, today=timezone.localdate())
    context = checked_context(request, plan, check, only) | {"is_part": True}
    if attach_form is not None:
        context["attach_form"] = attach_form
    return render(request, "plans/_checked.html", context)


def checked_context(request: HttpRequest, plan: FieldPlan, check: PlanCheck, only: Only) -> dict[str, Any]:
    """What the parts of the page show."""
    decisions, applications = standing_decisions(plan), applications_of(check)
    lines = need_lines(check, applications)
    papers = speaking_papers(check)
    closed = {one.paper.pk: one.paper for one in papers if not is_readable(one.paper, request.user)}
    newest = plan.versions.order_by("-number").first()
    return {
        "plan": plan,
        "check": check,
        "answer": answer_of(plan, check),
        "matrix": matrix_of(check, only, decided_of(decisions, check.loaded)),
        "needs": lines,
        "critical": critical_words(check),
        "unknown": unknown_words(check),
        "papers": papers,
        "applications": applications,
        "caps": [use for use in cap_uses(check) if use.paper not in closed],
        "caps_closed": [paper for paper in closed.values() if paper.pk in check.bench.capped],
        "advice": advise(check),
        "line": plan_timeline(check, lines, papers),
        "map": plan_map(check, [one.paper for one in papers], request.user),
        "offers": offers(check) if "offers" in request.GET else None,
        "decisions": decisions,
        "version": newest,
        "signed": signed(plan, check),
        "attach_form": AttachForm(plan=plan, initial={"seen": newest.number if newest else None}),
    }
