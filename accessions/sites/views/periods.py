"""Forms of boundaries, owners and occupiers, designations: the three are entered, changed and taken away alike."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.entry_forms import RecordForm
from accessions.sites.actions.periods import Period, add_period, change_period, remove_period
from accessions.sites.forms.sites import BoundaryForm, DesignationForm, TenureForm
from accessions.sites.models import Site, SiteBoundary, SiteDesignation, SiteTenure

KINDS: dict[str, tuple[type[Any], type[RecordForm]]] = {
    "boundaries": (SiteBoundary, BoundaryForm),
    "tenures": (SiteTenure, TenureForm),
    "designations": (SiteDesignation, DesignationForm),
}
REMOVES = {
    "boundaries": "sites:boundary-remove",
    "tenures": "sites:tenure-remove",
    "designations": "sites:designation-remove",
}


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def period_new(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Enter one of a site."""
    site = get_object_or_404(Site, pk=pk)
    model, form_class = _kind(kind)
    form = form_class(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            period = add_period(model, site, by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("Entered: %(what)s.") % {"what": period._meta.verbose_name})
            return redirect("sites:site", site.pk)
    return render(request, "sites/period_form.html", {"form": form, "site": site, "kind": kind, "model": model._meta})


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def period_edit(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Change one, or end it."""
    model, form_class = _kind(kind)
    period = _period(model, pk)
    form = form_class(request.POST or None, instance=period)
    if request.method == "POST" and form.is_valid():
        try:
            change_period(period, by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("Saved: %(what)s.") % {"what": period._meta.verbose_name})
            return redirect("sites:site", period.site_id)
    context = {"form": form, "site": period.site, "kind": kind, "period": period, "model": model._meta}
    remove_url = reverse(REMOVES[kind], args=[pk])
    return render(request, "sites/period_form.html", context | {"remove_url": remove_url})


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def period_remove(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Ask, then take away one that was entered by mistake."""
    period = _period(_kind(kind)[0], pk)
    if request.method == "POST":
        remove_period(period, by=request.user, why=request.POST.get("why") or str(_("entered by mistake")))
        messages.success(request, _("Removed: %(what)s. Its history is kept.") % {"what": period._meta.verbose_name})
        return redirect("sites:site", period.site_id)
    context = {"site": period.site, "kind": kind, "period": period, "model": period._meta}
    return render(request, "sites/period_remove.html", context)


def _kind(kind: str) -> tuple[type[Any], type[RecordForm]]:
    if kind not in KINDS:
        raise Http404(kind)
    return KINDS[kind]


def _period(model: type[Any], pk: int) -> Period:
    period: Period = get_object_or_404(model.objects.select_related("site"), pk=pk)
    return period
