"""Ways home of a plan: entered, changed, removed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.plans.actions.ways_home import add_way_home, edit_way_home, remove_way_home
from governance.plans.forms.removing import RemoveForm
from governance.plans.forms.ways_home import WayHomeForm, home_initial
from governance.plans.models import Consignment, FieldPlan
from governance.plans.queries.offered import only_countries
from governance.plans.views.trying import newest_number, save_or_try


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def home_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a way home."""
    plan = get_object_or_404(FieldPlan, pk=pk)
    form = WayHomeForm(posted(request), initial={"seen": newest_number(plan)})
    return _page(request, plan, None, form, lambda told: add_way_home(plan=plan, **told))


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def home_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a way home."""
    home = get_object_or_404(Consignment.objects.select_related("plan"), pk=pk)
    form = WayHomeForm(posted(request), home=home, initial=home_initial(home) | {"seen": newest_number(home.plan)})
    return _page(request, home.plan, home, form, lambda told: edit_way_home(way_home=home, **told))


def _page(
    request: HttpRequest, plan: FieldPlan, home: Consignment | None, form: WayHomeForm,
    save: Callable[[dict[str, Any]], Any],
) -> HttpResponse:  # fmt: skip
    tried = None
    if request.method == "POST" and form.is_valid():
        why = form.cleaned_data["why"] or (_("way home changed") if home else _("way home added"))
        told = {"values": form.values(), "by": request.user, "why": why, "seen": form.cleaned_data["seen"]}
        outcome = save_or_try(request, plan, form, lambda: save(told))
        if outcome.is_saved:
            messages.success(request, _("The way home was saved."))
            for note in form.notes:
                messages.warning(request, note)
            return redirect("plans:plan", plan.pk)
        tried = outcome.tried
    context = {"plan": plan, "home": home, "form": form, "what_if": tried, "offered": only_countries()}
    return render(request, "plans/home_form.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def home_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove a way home, after a look at which stops go that way."""
    home = get_object_or_404(Consignment.objects.select_related("plan"), pk=pk)
    plan, shown = home.plan, str(home)
    form = RemoveForm(posted(request), initial={"seen": newest_number(plan)})
    tried = None
    if request.method == "POST" and form.is_valid():
        told = {"why": form.cleaned_data["why"] or _("way home removed"), "seen": form.cleaned_data["seen"]}
        outcome = save_or_try(
            request, plan, form,
            lambda: remove_way_home(way_home=Consignment.objects.get(pk=pk), by=request.user, **told),
        )  # fmt: skip
        if outcome.is_saved:
            messages.success(request, _("The way home %(way)s was removed.") % {"way": shown})
            return redirect("plans:plan", plan.pk)
        tried = outcome.tried
    others = plan.consignments.exclude(pk=pk).order_by("position", "pk")
    context = {
        "plan": plan, "home": home, "form": form, "what_if": tried, "stops": list(home.stops.all()),
        "next_way": others.first(),
    }  # fmt: skip
    return render(request, "plans/home_remove.html", context, status=form.status)
