"""Drafts of letters that ask for a paper."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.plans.letters import letter
from governance.plans.models import Application
from governance.plans.queries.loading import load_plan


@require_GET
@requires(Verb.EXPORT)
def application_letter(request: HttpRequest, pk: int) -> HttpResponse:
    """The draft on a page to print; with ``?as=text`` as a file to write on in."""
    rows = Application.objects.select_related("plan", "assignee").prefetch_related("application_stops")
    found = get_object_or_404(rows, pk=pk)
    text = letter(found, load_plan(found.plan), timezone.localdate())
    if request.GET.get("as") != "text":
        return render(
            request, "plans/application_letter.html", {"application": found, "plan": found.plan, "text": text}
        )
    answer = HttpResponse(text, content_type="text/plain; charset=utf-8")
    name = slugify(f"{found.plan.reference} {found.kind}") or "letter"
    answer["Content-Disposition"] = f'attachment; filename="draft-{name}.txt"'
    return answer
