"""Scans filed with accessions and sites: by a drop, and off again."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.material.models import Accession
from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from accessions.sites.models import Site
from governance.scans.actions import filing as actions
from governance.scans.filed import Filed, summary
from governance.scans.forms.filing import DropForm, SortForm, TakeOffForm
from governance.scans.models import Filing
from governance.scans.queries.visible import check_open


@require_http_methods(["GET", "POST"])
@requires(Verb.ATTACH_SCANS)
def file_on_accession(request: HttpRequest, pk: int) -> HttpResponse:
    """Files dropped on an accession."""
    accession = get_object_or_404(Accession, pk=pk)
    return _file_on(request, accession, {"accession": accession}, "material:accession")


@require_http_methods(["GET", "POST"])
@requires(Verb.ATTACH_SCANS)
def file_on_site(request: HttpRequest, pk: int) -> HttpResponse:
    """Files dropped on a site."""
    site = get_object_or_404(Site, pk=pk)
    return _file_on(request, site, {"site": site}, "sites:site")


def _file_on(request: HttpRequest, place: Any, target: dict[str, Any], page: str) -> HttpResponse:
    if request.method == "GET":
        return render(request, "scans/file_on.html", {"place": place, "page": page})
    form = drop_form(request)
    if not form.is_valid():
        return refused_drop(request, form, place, page)
    told = form.cleaned_data
    filed = actions.file_drop(
        drop=told["drop"], filed_as=told["filed_as"], why=told["why"], by=person_of(request), **target
    )
    return drop_answer(request, filed, place, page)


def drop_form(request: HttpRequest) -> DropForm:
    """The form of what was dropped."""
    return DropForm(request.POST, request.FILES, person=person_of(request), now=timezone.localtime())


def refused_drop(request: HttpRequest, form: DropForm, place: Any, page: str) -> HttpResponse:
    """Nothing came, or something that may not be filed."""
    if wants_json(request):
        problem = " ".join(str(error) for errors in form.errors.values() for error in errors)
        return JsonResponse({"problem": problem}, status=form.status)
    return render(request, "scans/file_on.html", {"form": form, "place": place, "page": page}, status=form.status)


def drop_answer(request: HttpRequest, filed: list[Filed], place: Any, page: str) -> HttpResponse:
    """What became of each file: for the script as JSON; else on the page, or on one of its own if one was refused."""
    if wants_json(request):
        rows = [{"key": one.key, "name": one.name, "outcome": one.outcome, "words": one.words} for one in filed]
        return JsonResponse({"files": rows, "summary": summary(filed)})
    if any(one.is_refused for one in filed):
        context = {"filed": filed, "summary": summary(filed), "place": place, "page": page}
        return render(request, "scans/file_on.html", context, status=422)
    for one in filed:
        messages.success(request, f"{one.name}: {one.words}")
    back = request.POST.get("back", "")
    is_ours = back.startswith("/") and url_has_allowed_host_and_scheme(back, allowed_hosts=None)
    return redirect(back if is_ours else reverse(page, args=[place.pk]))


def wants_json(request: HttpRequest) -> bool:
    """Whether the script of the drop asks, and no form."""
    return request.get_preferred_type(["text/html", "application/json"]) == "application/json"


@require_http_methods(["GET", "POST"])
@requires(Verb.ATTACH_SCANS)
def filing_take_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a scan off an accession or a site, for a reason."""
    filing = _filing(request, pk)
    form = TakeOffForm(posted(request))
    if form.is_valid():
        actions.take_off(filing=filing, by=person_of(request), why=form.cleaned_data["why"])
        messages.success(request, _("%(name)s was taken off; the file itself stays.") % {"name": filing.name})
        return redirect(_page_of(filing))
    context = {"form": form, "filing": filing, "place": filing.place, "back": _page_of(filing)}
    return render(request, "scans/filing_take_off.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.ATTACH_SCANS)
def filing_sort(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what a filed scan is."""
    filing = _filing(request, pk)
    form = SortForm(posted(request), initial={"filed_as": filing.filed_as})
    if form.is_valid():
        sorted_one = actions.sort(filing=filing, filed_as=form.cleaned_data["filed_as"], by=person_of(request))
        kind = sorted_one.get_filed_as_display()
        messages.success(request, _("%(name)s is now filed as: %(kind)s.") % {"name": filing.name, "kind": kind})
        return redirect(_page_of(filing))
    context = {"form": form, "filing": filing, "place": filing.place, "back": _page_of(filing)}
    return render(request, "scans/filing_sort.html", context, status=form.status)


def _filing(request: HttpRequest, pk: int) -> Filing:
    filing = get_object_or_404(Filing.objects.select_related("accession", "site", "scan"), pk=pk)
    check_open(request.user, filing.scan)
    return filing


def _page_of(filing: Filing) -> str:
    page = "material:accession" if filing.accession_id else "sites:site"
    return f"{reverse(page, args=[filing.place.pk])}#filed-scans"
