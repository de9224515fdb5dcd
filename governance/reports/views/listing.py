"""All reports."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.reports.forms.listing import ReportFilterForm
from governance.reports.queries.listing import STATE_WORDS, counts, reports, state_of
from governance.reports.subjects import subject_of

CSV_HEADER = (
    "report", "kind", "about", "title", "language", "period from", "period to", "state", "composed on", "issued on",
    "sent on", "withdrawn because", "SHA-256",
)  # fmt: skip


@require_GET
@requires(Verb.READ)
def report_list(request: HttpRequest) -> HttpResponse:
    """All reports, narrowed and ordered as asked."""
    form = ReportFilterForm(request.GET)
    wanted = form.wanted()
    pages = paged(request, reports(wanted, request.user))
    lines = [(one, STATE_WORDS[state_of(one)], subject_of(one)) for one in pages["page"].object_list]
    context = {
        "form": form, "wanted": wanted, "counts": counts(request.user), "asked": request.GET.urlencode(),
        "lines": lines,
    }  # fmt: skip
    return render(request, "reports/reports.html", context | pages)


@require_GET
@requires(Verb.EXPORT)
def reports_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The same list as CSV."""
    found = reports(ReportFilterForm(request.GET).wanted(), request.user)
    return csv_answer("reports.csv", CSV_HEADER, _csv_rows(found))


def _csv_rows(found: Any) -> Iterator[tuple[Any, ...]]:
    for one in found.iterator():
        yield (
            one.reference, one.kind, subject_of(one), one.title, one.language, one.period_from, one.period_to,
            state_of(one).value, one.composed_at and one.composed_at.date(), one.issued_at and one.issued_at.date(),
            one.last_sent_on, one.withdrawn_why, one.digest,
        )  # fmt: skip
