"""Stops taken from a pasted table or a file."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from governance.plans.models import FieldPlan


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def stops_paste(request: HttpRequest, pk: int) -> HttpResponse:
    """A pasted table."""
    return redirect("plans:plan", get_object_or_404(FieldPlan, pk=pk).pk)


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def stops_load(request: HttpRequest, pk: int) -> HttpResponse:
    """A file of places."""
    return redirect("plans:plan", get_object_or_404(FieldPlan, pk=pk).pk)
