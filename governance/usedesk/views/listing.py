"""All requests."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.usedesk.forms.requests import RequestFilterForm
from governance.usedesk.queries.listing import Line, counts, line_of, use_requests

CSV_HEADER = (
    "request", "title", "asked by", "for", "country of the recipient", "asked on", "answer by", "uses", "goes to",
    "commercial", "identification only", "from", "until", "specimens", "undecided", "may go", "waiting for replies",
    "state", "day has passed", "closed because",
)  # fmt: skip


@require_GET
@requires(Verb.READ)
def request_list(request: HttpRequest) -> HttpResponse:
    """All requests, narrowed and ordered as asked."""
    form, today = RequestFilterForm(request.GET), timezone.localdate()
    wanted = form.wanted()
    pages = paged(request, use_requests(wanted, today))
    context = {
        "form": form, "wanted": wanted, "counts": counts(today), "today": today, "asked": request.GET.urlencode(),
        "lines": [line_of(one, today) for one in pages["page"].object_list],
    }  # fmt: skip
    return render(request, "usedesk/requests.html", context | pages)


@require_GET
@requires(Verb.EXPORT)
def requests_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The same list as CSV."""
    today = timezone.localdate()
    found = use_requests(RequestFilterForm(request.GET).wanted(), today)
    return csv_answer("requests.csv", CSV_HEADER, _csv_rows(line_of(one, today) for one in found.iterator()))


def _csv_rows(lines: Iterator[Line]) -> Iterator[tuple[Any, ...]]:
    for line in lines:
        one, recipient = line.request, line.request.recipient
        yield (
            one.reference, one.title, one.asked_by, recipient.name if recipient else "",
            recipient.country if recipient else "", one.asked_on, one.answer_by,
            " | ".join(use.code for use in one.use_list), one.country, one.commercial, one.identification_only,
            one.starts_on, one.ends_on, line.specimens, line.undecided, line.approved, line.waiting, line.state.value,
            "yes" if line.is_late else "", one.closed_why,
        )  # fmt: skip
