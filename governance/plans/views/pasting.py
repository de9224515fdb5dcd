"""Stops taken from a pasted table or from a file of places: looked at first, then taken, all or none."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.plans.actions.stops import take_stops
from governance.plans.forms.pasting import PasteForm, PlacesForm
from governance.plans.forms.stop_table import ReadStops
from governance.plans.models import FieldPlan
from governance.plans.queries.offered import only_countries
from governance.plans.views.trying import BUTTON, Outcome, newest_number, save_or_try

TAKE = "take"
"""Name of the button that takes what was read."""


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def stops_paste(request: HttpRequest, pk: int) -> HttpResponse:
    """A table as copied from a spreadsheet."""
    plan = get_object_or_404(FieldPlan, pk=pk)
    form = PasteForm(posted(request), _files(request), plan=plan, initial=_initial(plan))
    return _page(request, "plans/stops_paste.html", plan, form, _("stops from a table"))


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def stops_load(request: HttpRequest, pk: int) -> HttpResponse:
    """A file of points and areas."""
    plan = get_object_or_404(FieldPlan, pk=pk)
    form = PlacesForm(posted(request), _files(request), plan=plan, initial=_initial(plan))
    return _page(request, "plans/stops_load.html", plan, form, _("stops from a map file"))


def _files(request: HttpRequest) -> Any:
    """The files that were sent; None for a page that is only read, since a form with files counts as sent."""
    return request.FILES if request.method == "POST" else None


def _initial(plan: FieldPlan) -> dict[str, Any]:
    return {"how": PasteForm.ADD, "seen": newest_number(plan)}


def _page(request: HttpRequest, template: str, plan: FieldPlan, form: PasteForm | PlacesForm, why: str) -> HttpResponse:
    outcome = Outcome()
    if request.method == "POST" and form.is_valid() and form.read is not None and form.read.can_be_taken:
        outcome = _taken(request, plan, form, form.read, why)
        if outcome.is_saved:
            messages.success(request, _said(*outcome.saved))
            for note in (note for stop in form.read.stops for note in stop.notes):
                messages.warning(request, note)
            return redirect("plans:plan", plan.pk)
    context = {
        "plan": plan, "form": form, "read": form.read, "what_if": outcome.tried, "has_stops": plan.stops.exists(),
        "offered": only_countries(),
    }  # fmt: skip
    refused = form.read is not None and form.read.problems
    return render(request, template, context, status=422 if refused else form.status)


def _taken(request: HttpRequest, plan: FieldPlan, form: PasteForm | PlacesForm, read: ReadStops, why: str) -> Outcome:
    """Take or try what was read, as the button says; a mere look does neither."""
    if TAKE not in request.POST and BUTTON not in request.POST:
        return Outcome()

    def take() -> tuple[int, int, int]:
        try:
            return take_stops(
                plan=plan, stops=read.drafts, replace=form.is_replacing, by=request.user, why=why,
                seen=form.cleaned_data["seen"],
            )  # fmt: skip
        except ValidationError as error:
            raise ValidationError(error.messages) from error  # its fields are those of a stop, not of this form

    return save_or_try(request, plan, form, take)


def _said(added: int, changed: int, removed: int) -> str:
    parts = [ngettext("%(n)d stop was added.", "%(n)d stops were added.", added) % {"n": added}]
    if changed:
        parts.append(ngettext("%(n)d was changed.", "%(n)d were changed.", changed) % {"n": changed})
    if removed:
        parts.append(ngettext("%(n)d was removed.", "%(n)d were removed.", removed) % {"n": removed})
    return " ".join(parts)
