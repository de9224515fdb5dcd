"""Who may do what, on one page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.audit.queries.rights import rights as rights_of_all


@require_GET
@requires(Verb.READ)
def rights(request: HttpRequest) -> HttpResponse:
    """Roles against deeds and pages, and what is restricted now."""
    return render(request, "audit/rights.html", {"rights": rights_of_all(request.user)})
