"""The files of an application: dropped, chosen from the register, and taken off again."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.plans.actions import applications as actions
from governance.plans.actions.locking import PlanError
from governance.plans.forms.applications import ScanSearchForm, TakeScanOffForm
from governance.plans.models import Application, ApplicationScan
from governance.plans.queries.applications import scans_named
from governance.scans.queries.visible import check_open
from governance.scans.views.filing import drop_answer, drop_form, refused_drop

PAGE = "plans:application"


@dataclass(frozen=True)
class Place:
    """An application as the pages of dropped files name it. drop_address: where files for it are sent."""

    pk: int
    name: str
    drop_address: str

    def __str__(self) -> str:
        return self.name


def place_of(application: Application) -> Place:
    """Where files of an application are dropped."""
    name = f"{application.plan.reference}, {application.get_kind_display()}"
    return Place(application.pk, name, reverse("plans:application-scan", args=[application.pk]))


@require_http_methods(["GET", "POST"])
@requires(Verb.ATTACH_SCANS)
def application_scan(request: HttpRequest, pk: int) -> HttpResponse:
    """Files dropped on an application, or chosen among those that are in the register."""
    found = get_object_or_404(Application.objects.select_related("plan"), pk=pk)
    place = place_of(found)
    if request.method == "GET":
        search = ScanSearchForm(request.GET or None)
        text = search.cleaned_data["q"] if search.is_valid() else ""
        scans = scans_named(text, found, request.user) if text else []
        context = {"application": found, "plan": found.plan, "place": place, "search": search, "scans": scans}
        return render(request, "plans/application_scan.html", context | {"text": text})
    form = drop_form(request)
    if not form.is_valid():
        return refused_drop(request, form, place, PAGE)
    told = form.cleaned_data
    try:
        filed = actions.add_scans(application=found, drop=told["drop"], why=told["why"], by=person_of(request))
    except PlanError as problem:
        form.add_error(None, str(problem))
        return refused_drop(request, form, place, PAGE)
    return drop_answer(request, filed, place, PAGE)


@require_http_methods(["GET", "POST"])
@requires(Verb.ATTACH_SCANS)
def application_scan_take_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a file off an application, for a reason."""
    rows = ApplicationScan.objects.select_related("application__plan", "scan")
    attached = get_object_or_404(rows, pk=pk)
    check_open(request.user, attached.scan)
    form = TakeScanOffForm(posted(request))
    if form.is_valid():
        try:
            actions.take_scan_off(attached=attached, by=person_of(request), why=form.cleaned_data["why"])
        except PlanError as problem:
            form.add_error(None, str(problem))
        else:
            said = _("%(name)s was taken off; the file itself stays.")
            messages.success(request, said % {"name": attached.scan.original_name})
            return redirect(PAGE, attached.application_id)
    context = {"form": form, "attached": attached, "application": attached.application}
    return render(request, "plans/application_scan_take_off.html", context, status=form.status)
