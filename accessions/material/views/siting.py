"""Events that name a site in words, pointed at it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from accessions.material.actions.siting import attach_events
from accessions.people.access import Verb, requires
from accessions.sites.models import Site


@require_POST
@requires(Verb.ENTER_FACTS)
def site_attach(request: HttpRequest, pk: int) -> HttpResponse:
    """Point the events that name this site in words at it."""
    site = get_object_or_404(Site, pk=pk)
    count = attach_events(site, by=request.user, why=str(_("named by code or name")))
    words = ngettext("%(n)s event now points at this site.", "%(n)s events now point at this site.", count)
    messages.success(request, words % {"n": count})
    return redirect("sites:site", pk)
