"""Applications for papers: the checklist over all plans, one application, and what is typed of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES
from governance.plans.actions import applications as actions
from governance.plans.actions.locking import PlanError
from governance.plans.forms.applications import ApplicationFilterForm, ApplicationForm, application_initial
from governance.plans.models import Application, FieldPlan
from governance.plans.queries.application_history import history_of
from governance.plans.queries.applications import (
    Line,
    application_lines,
    applications_of,
    asked_already,
    cells_of,
    files_of,
    line_of,
    needs_not_asked,
)
from governance.plans.queries.check import PlanCheck, check_plan
from governance.plans.queries.suggesting import suggested
from governance.plans.views.application_scans import place_of
from governance.verdicts.cells import Cell

HEADER = (
    "plan", "title", "layer", "kind", "stops", "ask", "contact", "who asks", "their number", "state", "start by",
    "asked on", "promised for", "granted on", "refused on", "given up on", "paper", "day has passed", "note",
    "on the day",
)  # fmt: skip


@require_GET
@requires(Verb.READ)
def application_list(request: HttpRequest) -> HttpResponse:
    """Applications of all plans, narrowed and ordered as asked."""
    form = ApplicationFilterForm(request.GET)
    wanted, today = form.wanted(), timezone.localdate()
    lines = application_lines(wanted, today)
    context = paged(request, lines) | {
        "form": form, "wanted": wanted, "today": today, "asked": request.GET.urlencode(),
        "late": sum(line.is_late for line in lines), "open": sum(line.is_open for line in lines),
        "in_register": Application.objects.exists(),
    }  # fmt: skip
    return render(request, "plans/applications.html", context)


@require_GET
@requires(Verb.EXPORT)
def applications_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The same list as a file."""
    today = timezone.localdate()
    lines = application_lines(ApplicationFilterForm(request.GET).wanted(), today)
    return csv_answer("applications.csv", HEADER, _rows(lines))


def _rows(lines: list[Line]) -> Iterator[tuple[Any, ...]]:
    for line in lines:
        one = line.application
        yield (
            one.plan.reference, one.plan.title, Layer(one.layer).code, one.kind,
            "all" if one.all_stops else " | ".join(line.stops), one.authority, one.contact,
            one.assignee.shown_name if one.assignee else "", one.number, one.state.value, one.start_by, one.asked_on,
            one.promised_on, one.granted_on, one.refused_on, one.dropped_on,
            one.paper.reference if one.paper else "", "yes" if line.is_late else "", one.note, line.today,
        )  # fmt: skip


@require_GET
@requires(Verb.READ)
def plan_checklist(request: HttpRequest, pk: int) -> HttpResponse:
    """The applications of one plan on paper, with room to tick them off."""
    plan = get_object_or_404(FieldPlan, pk=pk)
    check = _check(plan)
    lines = applications_of(check)
    context = {"plan": plan, "lines": lines, "not_asked": needs_not_asked(check, lines), "today": check.today}
    return render(request, "plans/applications_print.html", context)


@require_GET
@requires(Verb.READ)
def application(request: HttpRequest, pk: int) -> HttpResponse:
    """One application: where it stands, what the check says of its cells, its files and its history."""
    found = _application(pk)
    check = _check(found.plan)
    line = line_of(found, check.today, check)
    context = {
        "application": found, "line": line, "plan": found.plan,
        "cells": [(one, Cell(one.verdict)) for one in cells_of(check, found)],
        "files": files_of(found, request.user), "changes": history_of(found), "place": place_of(found),
    }  # fmt: skip
    return render(request, "plans/application.html", context)


def _application(pk: int) -> Application:
    rows = Application.objects.select_related("plan", "assignee", "paper")
    return get_object_or_404(rows.prefetch_related("application_stops__stop", "paper__versions"), pk=pk)


def _check(plan: FieldPlan) -> PlanCheck:
    return check_plan(plan, today=timezone.localdate())


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def application_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Something to be asked for: ``?layer=land&stop=3`` fills the form from the check and the country sheets."""
    plan = get_object_or_404(FieldPlan, pk=pk)
    stops = list(plan.stops.all())
    form = ApplicationForm(posted(request), stops=stops, initial=_initial(request, plan))
    if form.is_valid():
        try:
            made = actions.add_application(
                plan=plan, values=form.values(), stops=form.stops_chosen() or (), by=person_of(request)
            )
        except (ValidationError, PlanError) as problem:
            _refuse(form, problem)
        else:
            said = _("On the checklist: %(kind)s, %(layer)s.")
            names = {"kind": made.get_kind_display(), "layer": LAYER_NAMES[Layer(made.layer)]}
            messages.success(request, said % names)
            return redirect("plans:application", made.pk)
    context = {
        "form": form, "plan": plan, "layer_name": _asked_layer(request), "already": _asked_already(request, plan),
    }  # fmt: skip
    return render(request, "plans/application_form.html", context, status=form.status)


def _asked_already(request: HttpRequest, plan: FieldPlan) -> list[Application]:
    layer = _layer(request)
    return [] if layer is None else asked_already(plan, layer, set(_asked_stops(request)))


def _asked_stops(request: HttpRequest) -> list[int]:
    return [int(key) for key in request.GET.getlist("stop") if key.isascii() and key.isdigit() and len(key) < 19]


def _initial(request: HttpRequest, plan: FieldPlan) -> dict[str, Any]:
    layer = _layer(request)
    stops = _asked_stops(request)
    own = [pk for pk in plan.stops.values_list("pk", flat=True) if pk in stops]
    start = {"assignee": person_of(request).pk, "stops": own}
    return start if layer is None else start | suggested(_check(plan), layer, own)


def _layer(request: HttpRequest) -> Layer | None:
    return next((layer for layer in Layer if layer.code == request.GET.get("layer")), None)


def _asked_layer(request: HttpRequest) -> Any:
    layer = _layer(request)
    return "" if layer is None else LAYER_NAMES[layer]


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def application_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct what was typed of an application."""
    found = _application(pk)
    form = ApplicationForm(
        posted(request), stops=list(found.plan.stops.all()), application=found, initial=application_initial(found)
    )
    if form.is_valid():
        try:
            actions.edit_application(
                application=found, values=form.values(), stops=form.stops_chosen(), by=person_of(request),
                why=form.cleaned_data["why"],
            )  # fmt: skip
        except (ValidationError, PlanError) as problem:
            _refuse(form, problem)
        else:
            messages.success(request, _("The application was changed."))
            return redirect("plans:application", pk)
    context = {"form": form, "plan": found.plan, "application": found, "line": line_of(found, timezone.localdate())}
    return render(request, "plans/application_form.html", context, status=form.status)


def _refuse(form: Any, problem: ValidationError | PlanError) -> None:
    """What an action refused, beside the field that it is about."""
    form.refuse(problem) if isinstance(problem, ValidationError) else form.add_error(None, str(problem))
