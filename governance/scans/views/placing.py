"""A scan that is here already, put into the file of an accession or a site."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.scans.actions.filing import file_scans
from governance.scans.forms.placing import PlaceForm
from governance.scans.models import Scan
from governance.scans.queries.visible import check_open


@require_http_methods(["GET", "POST"])
@requires(Verb.ATTACH_SCANS)
def scan_place(request: HttpRequest, pk: int) -> HttpResponse:
    """File a scan with an accession or a site, by its number or code."""
    scan = get_object_or_404(Scan, pk=pk)
    check_open(request.user, scan)
    form = PlaceForm(posted(request))
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        [filed] = file_scans(
            scans=[scan], accession=told["accession"], site=told["site"], filed_as=told["filed_as"], why=told["why"],
            by=person_of(request),
        )  # fmt: skip
        messages.success(request, f"{told['accession'] or told['site']}: {filed.words}")
        return redirect("scans:scan", pk)
    return render(request, "scans/scan_place.html", {"form": form, "scan": scan}, status=form.status)
