"""The page on which a reader sees what changed the verdicts of a specimen."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from accessions.material.models import Specimen
from accessions.people.access import Verb, requires
from governance.audit.queries.verdict_changes import verdict_history


@require_GET
@requires(Verb.READ)
def verdict_changes(request: HttpRequest, pk: int) -> HttpResponse:
    """Each change of a specimen's verdicts, with what changed between the two assessments."""
    specimen = get_object_or_404(Specimen.objects.select_related("event", "name", "accession"), pk=pk)
    history = verdict_history(specimen, request.user)
    return render(request, "audit/verdict_changes.html", {"specimen": specimen, "history": history})
