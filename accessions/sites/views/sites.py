"""The list of sites, one site, and the form of a site."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from accessions.sites.actions.sites import change_site, create_site
from accessions.sites.forms.sites import SiteFilterForm, SiteForm
from accessions.sites.models import Site
from accessions.sites.queries.sites import changes_of_site, periods_of, sites

CSV_HEADER = ("locationID", "siteName", "countryCode", "subdivision", "boundary", "owners now", "events", "remarks")


@require_GET
@requires(Verb.READ)
def site_list(request: HttpRequest) -> HttpResponse:
    """All sites, narrowed and ordered as asked."""
    form = SiteFilterForm(request.GET)
    narrowed = form.narrowed()
    context = {"form": form, "narrowed": narrowed, "all_sites": Site.objects.count()}
    return render(request, "sites/sites.html", context | paged(request, sites(narrowed)))


@require_GET
@requires(Verb.EXPORT)
def site_export(request: HttpRequest) -> StreamingHttpResponse:
    """The same list as CSV."""
    return csv_answer("sites.csv", CSV_HEADER, _csv_rows(sites(SiteFilterForm(request.GET).narrowed())))


def _csv_rows(rows: Any) -> Iterator[tuple[Any, ...]]:
    for site in rows:
        owners = " | ".join(tenure.agent.name for tenure in site.tenures_now)
        known = "known" if site.has_boundary else ""
        yield (site.code, site.name, site.country, site.subdivision, known, owners, site.event_count, site.remarks)


@require_GET
@requires(Verb.READ)
def site_page(request: HttpRequest, pk: int) -> HttpResponse:
    """One site: where it is, since when, whose."""
    site = get_object_or_404(Site, pk=pk)
    context = {
        "site": site,
        "periods": periods_of(site),
        "changes": changes_of_site(site),
        "today": timezone.localdate(),
    }
    return render(request, "sites/site.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def site_new(request: HttpRequest) -> HttpResponse:
    """Enter a site."""
    form = SiteForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        site = create_site(by=request.user, why=form.why, **form.values())
        messages.success(request, _("Site %(site)s was entered.") % {"site": site})
        return redirect("sites:site", site.pk)
    return render(request, "sites/site_form.html", {"form": form})


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def site_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a site."""
    site = get_object_or_404(Site, pk=pk)
    shown = str(site)
    form = SiteForm(request.POST or None, instance=site)
    if request.method == "POST" and form.is_valid():
        changed = change_site(site, by=request.user, why=form.why, **form.values())
        messages.success(request, _said(changed))
        return redirect("sites:site", site.pk)
    return render(request, "sites/site_form.html", {"form": form, "site": site, "shown": shown})


def _said(changed: list[str]) -> str:
    if not changed:
        return _("Nothing was changed.")
    return _("The site was saved: %(fields)s.") % {"fields": ", ".join(changed)}
