"""The boundary of a site loaded from a file."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from accessions.sites.actions.periods import add_period
from accessions.sites.models import Site, SiteBoundary
from governance.papers.forms.boundary_files import BoundaryFileForm


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def site_boundary(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the outline of a file as a boundary of a site."""
    site = get_object_or_404(Site, pk=pk)
    form = BoundaryFileForm(request.POST if request.method == "POST" else None, request.FILES)
    if request.method == "POST" and form.is_valid():
        why = _("from the file %(name)s") % {"name": form.cleaned_data["file"].name}
        try:
            add_period(SiteBoundary, site, by=request.user, why=why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("The boundary was taken from the file."))
            return redirect("sites:site", pk)
    return render(request, "sites/boundary_file.html", {"form": form, "site": site})
