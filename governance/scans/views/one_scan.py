"""The page of a scan."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.scans.queries.one_scan import one_scan, scan_view
from governance.scans.queries.visible import opens


@require_GET
@requires(Verb.READ)
def scan_page(request: HttpRequest, pk: int) -> HttpResponse:
    """A scan in the reading pane, with its facts; who may not open it sees that it exists, and to whom it is open."""
    scan = one_scan(pk)
    if scan is None:
        raise Http404(_("There is no such scan."))
    if not opens(request.user, scan):
        return render(request, "scans/scan_closed.html", {"scan": scan})
    return render(request, "scans/scan.html", {"scan": scan, "view": scan_view(scan)})
