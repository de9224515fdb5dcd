"""Reports as files: of a draft made on the spot, of an issued one as it was issued."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.papers.printed.docx_writer import CONTENT_TYPE as DOCX_TYPE
from governance.reports.actions.issuing import file_name
from governance.reports.models import Report, ReportFile
from governance.reports.queries.one_report import found_report
from governance.reports.queries.stored import stored

TYPES = {
    ReportFile.Format.DOCX.value: DOCX_TYPE,
    ReportFile.Format.XLSX.value: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


@require_GET
@requires(Verb.EXPORT)
def report_docx_file(request: HttpRequest, pk: int) -> HttpResponse:
    """A draft as a document that says it is one; an issued report as it was issued."""
    return _file(request, pk, ReportFile.Format.DOCX.value)


@require_GET
@requires(Verb.EXPORT)
def report_xlsx_file(request: HttpRequest, pk: int) -> HttpResponse:
    """The same as a workbook."""
    return _file(request, pk, ReportFile.Format.XLSX.value)


def _file(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    found = found_report(pk, request.user)
    if found.issued_at is not None:
        return redirect("reports:report-file", pk, kind)
    if found.contents is None:
        messages.error(request, _("It is not composed yet, so there is nothing to take."))
        return redirect("reports:report", pk)
    return answer(file_name(found, kind, timezone.localdate()), kind, _written(found, kind))


def _written(found: Report, kind: str) -> bytes:
    from governance.reports.writing.docx import report_docx
    from governance.reports.writing.workbook import report_workbook

    if kind == ReportFile.Format.DOCX.value:
        return report_docx(stored(found), found.language, made_at=timezone.now(), draft=True, title=found.title)
    return report_workbook(stored(found), found.language, made_at=timezone.now())


@require_GET
@requires(Verb.EXPORT)
def report_file(request: HttpRequest, pk: int, format: str) -> HttpResponse:
    """A file of an issued report, byte for byte."""
    if format not in TYPES:
        raise Http404(f"no format {format}")
    found = found_report(pk, request.user)
    file = get_object_or_404(ReportFile, report=found, format=format)
    return answer(file.name, file.format, bytes(file.data))


def answer(name: str, kind: str, data: bytes) -> HttpResponse:
    """A download that is kept nowhere on the way."""
    made = HttpResponse(data, content_type=TYPES[kind])
    made["Content-Disposition"] = f'attachment; filename="{name}"'
    made["Cache-Control"] = "private, no-store"
    return made
