"""How far work in the background is."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.reports.actions.work import goes_on
from governance.reports.models import Report
from governance.reports.queries.one_report import found_report
from governance.reports.subjects import heading_of
from governance.reports.words import STEP_WORDS


@require_GET
@requires(Verb.READ)
def report_progress(request: HttpRequest, pk: int) -> HttpResponse:
    """The page looks again every two seconds while work goes on; the part of it that changes is asked for alone."""
    found = found_report(pk, request.user)
    is_live = goes_on(found, timezone.now())
    context: dict[str, Any] = {
        "found": found, "heading": heading_of(found), "is_live": is_live,
        "has_stopped": not is_live and found.work != Report.Work.NONE,
        "step": STEP_WORDS.get(found.work_step, found.work_step),
    }  # fmt: skip
    if getattr(request, "htmx", False):
        return _part(request, context)
    if not is_live and found.work == Report.Work.NONE:
        return redirect("reports:report", pk)
    return render(request, "reports/report_progress.html", context)


def _part(request: HttpRequest, context: dict[str, Any]) -> HttpResponse:
    """The part alone; once the work is done the browser goes to the report."""
    answer = render(request, "reports/_progress.html", context)
    if not context["is_live"] and not context["has_stopped"]:
        answer["HX-Redirect"] = reverse("reports:report", args=[context["found"].pk])
    return answer
