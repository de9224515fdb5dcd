"""All reports."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.http import FileResponse, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.reports.forms.listing import ReportFilterForm
from governance.reports.models import ReportFile
from governance.reports.queries.listing import STATE_WORDS, counts, reports, state_of
from governance.reports.queries.shares import unread
from governance.reports.subjects import subject_of
from governance.reports.views.files import TYPES
from governance.verdicts.export_files import workbook_file

HEADER = (
    "report", "kind", "about", "title", "language", "period from", "period to", "state", "composed on", "issued on",
    "sent on", "withdrawn because", "SHA-256",
)  # fmt: skip
_WIDTHS = (16, 14, 30, 30, 10, 12, 12, 12, 12, 12, 12, 30, 66)


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
        "lines": lines, "unread": unread(request.user).count(),
    }  # fmt: skip
    return render(request, "reports/reports.html", context | pages)


@require_GET
@requires(Verb.EXPORT)
def reports_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The same list as CSV."""
    return csv_answer("reports.csv", HEADER, _file_rows(request))


@require_GET
@requires(Verb.EXPORT)
def reports_xlsx(request: HttpRequest) -> FileResponse:
    """The same list as a workbook."""
    file = workbook_file(_("Reports"), HEADER, _WIDTHS, _file_rows(request))
    kind = TYPES[ReportFile.Format.XLSX.value]
    return FileResponse(file, as_attachment=True, filename="reports.xlsx", content_type=kind)


def _file_rows(request: HttpRequest) -> Iterator[tuple[Any, ...]]:
    one: Any
    for one in reports(ReportFilterForm(request.GET).wanted(), request.user).iterator():
        yield (
            one.reference, one.kind, subject_of(one), one.title, one.language, one.period_from, one.period_to,
            state_of(one).value, one.composed_at and one.composed_at.date(), one.issued_at and one.issued_at.date(),
            one.last_sent_on, one.withdrawn_why, one.digest,
        )  # fmt: skip
