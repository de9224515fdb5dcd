"""Having a scan read again."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_POST

from accessions.people.access import Verb, person_of, requires
from governance.scans.actions.reading import read_again
from governance.scans.models import Scan


@require_POST
@requires(Verb.ATTACH_SCANS)
def scan_read_again(request: HttpRequest, pk: int) -> HttpResponse:
    """The words are forgotten and read anew in the background."""
    scan = get_object_or_404(Scan, pk=pk)
    read_again(scan=scan, by=person_of(request), why=gettext_noop("asked for on its page"))
    messages.success(request, _("It is being read again. Its words can be found once that is done."))
    return redirect("scans:scan", pk=pk)
