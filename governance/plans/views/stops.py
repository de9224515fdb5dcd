"""Stops of a plan: entered, changed, moved, removed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_http_methods, require_POST

from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.papers.forms.rows import without_errors
from governance.plans.actions.locking import PlanError
from governance.plans.actions.stops import add_stop, edit_stop, move_stop, remove_stop
from governance.plans.forms.removing import RemoveForm
from governance.plans.forms.stops import StopSheet, more_rows
from governance.plans.models import FieldPlan, Stop
from governance.plans.queries.asked_alone import applications_for_alone, is_under_way
from governance.plans.queries.offered import offered
from governance.plans.views.trying import newest_number, save_or_try


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def stop_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a stop."""
    plan = get_object_or_404(FieldPlan, pk=pk)

    def save(told: dict[str, Any]) -> Stop:
        return add_stop(plan=plan, **told)

    return _page(request, plan, None, save)


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def stop_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a stop."""
    stop = get_object_or_404(Stop.objects.select_related("plan", "site"), pk=pk)

    def save(told: dict[str, Any]) -> Stop:
        return edit_stop(stop=stop, **told)

    return _page(request, stop.plan, stop, save)


def _page(
    request: HttpRequest, plan: FieldPlan, stop: Stop | None, save: Callable[[dict[str, Any]], Stop]
) -> HttpResponse:
    more = more_rows(request)
    data = more or posted(request)
    sheet = StopSheet(data, request.FILES if data is not None else None, plan=plan, stop=stop, seen=newest_number(plan))
    tried = None
    if more:
        without_errors(sheet.forms)
    elif data is not None and sheet.is_valid():
        told = _told(request, sheet, _("stop changed") if stop else _("stop added"))
        outcome = save_or_try(request, plan, sheet, lambda: save(told))
        if outcome.is_saved:
            return _saved(request, plan, sheet, outcome.saved)
        tried = outcome.tried
        if sheet.status != 200:
            sheet.allow_again(newest_number(plan))
    sheet.stop.keep_file()
    context = {"plan": plan, "stop": stop, "sheet": sheet, "what_if": tried, "offered": offered(request.user)}
    return render(request, "plans/stop_form.html", context, status=200 if more else sheet.status)


def _told(request: HttpRequest, sheet: StopSheet, why: str) -> dict[str, Any]:
    """The arguments of the action."""
    cleaned = sheet.stop.cleaned_data
    return {
        "values": sheet.stop.values(), "targets": sheet.target_rows(), "traps": sheet.trap_rows(), "by": request.user,
        "why": cleaned["why"] or why, "seen": cleaned["seen"],
    }  # fmt: skip


def _saved(request: HttpRequest, plan: FieldPlan, sheet: StopSheet, stop: Stop) -> HttpResponse:
    messages.success(request, _("The stop %(name)s was saved.") % {"name": stop.name})
    for words in sheet.filled:
        messages.info(request, words)
    for note in sheet.notes:
        messages.warning(request, note)
    if "and_next" in request.POST:
        return redirect("plans:stop-new", plan.pk)
    return redirect("plans:plan", plan.pk)


@require_POST
@requires(Verb.PLAN_TRIPS)
def stop_move(request: HttpRequest, pk: int) -> HttpResponse:
    """One place up or down."""
    stop = get_object_or_404(Stop.objects.select_related("plan"), pk=pk)
    try:
        if move_stop(
            stop=stop, up=request.POST.get("to") != "down", by=request.user, why=gettext_noop("order of stops")
        ):
            messages.success(request, _("The stop %(name)s was moved.") % {"name": stop.name})
    except PlanError as error:
        messages.error(request, str(error))
    return redirect("plans:plan", stop.plan_id)


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def stop_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Look at what hangs on a stop, and at what the check would say without it; then remove it."""
    stop = get_object_or_404(Stop.objects.select_related("plan"), pk=pk)
    plan, name = stop.plan, stop.name
    form = RemoveForm(posted(request), initial={"seen": newest_number(plan)})
    context: dict[str, Any] = {"plan": plan, "stop": stop, "form": form}
    if request.method == "POST" and form.is_valid():
        told = {"why": form.cleaned_data["why"] or _("stop removed"), "seen": form.cleaned_data["seen"]}
        outcome = save_or_try(request, plan, form, lambda: remove_stop(stop=stop, by=request.user, **told))
        if outcome.is_saved:
            messages.success(request, _("The stop %(name)s was removed; the history keeps it.") % {"name": name})
            return redirect("plans:plan", plan.pk)
        context |= {"what_if": outcome.tried, "stop": get_object_or_404(Stop, pk=pk)}
    return render(request, "plans/stop_remove.html", context | _hanging(pk), status=form.status)


def _hanging(pk: int) -> dict[str, Any]:
    """What goes with a stop, and what stands in the way."""
    stop = Stop.objects.get(pk=pk)
    asked = applications_for_alone(stop)
    return {
        "targets": stop.targets.count(), "traps": stop.traps.count(), "notices": stop.notices.count(),
        "papers": list(stop.plan_papers.filter(unlinked_at__isnull=True).select_related("paper")),
        "decisions": stop.decisions.filter(withdrawn_at__isnull=True).count(),
        "asked": [one for one in asked if is_under_way(one)],
    }  # fmt: skip
