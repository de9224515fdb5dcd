"""Who opened what is restricted: for those who keep the seal, since it tells what people did."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.audit.forms.openings import OpeningsForm
from governance.audit.queries.openings import HEADERS, OpeningsWanted, openings, openings_file, place_words


@require_GET
@requires(Verb.KEEP_SEAL)
def opening_list(request: HttpRequest) -> HttpResponse:
    """Openings, newest first."""
    form = OpeningsForm(request.GET)
    wanted = form.wanted()
    context = paged(request, openings(wanted), usual=50)
    lines = [(one, place_words(one.place)) for one in context["page"].object_list]
    context |= {"form": form, "lines": lines, "is_narrowed": wanted != OpeningsWanted()}
    return render(request, "audit/openings.html", context)


@require_GET
@requires(Verb.KEEP_SEAL)
def openings_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The same as CSV."""
    return csv_answer("openings.csv", HEADERS, openings_file(OpeningsForm(request.GET).wanted()))
