"""What the shapes mean: verdicts, layers and finding codes in words."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from accessions.people.access import Verb, requires
from governance.verdicts.queries.vocabulary import layer_meanings, tests_with_codes, verdict_meanings


@require_safe
@requires(Verb.READ)
def shapes_help(request: HttpRequest) -> HttpResponse:
    """The page behind "What do the shapes mean?"."""
    context = {"verdicts": verdict_meanings(), "layers": layer_meanings(), "tests": tests_with_codes()}
    return render(request, "verdicts/shapes_help.html", context)
