"""One request with its answer: the page, the groups with their specimens, the files."""

from __future__ import annotations

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.usedesk.models import UseRequest
from governance.usedesk.queries.answer_rows import HEADER, export_rows, ordered_ids, rows_of
from governance.usedesk.queries.answering import desk_answer
from governance.usedesk.queries.groups import DeskAnswer, Group
from governance.usedesk.queries.request_page import decided_of, request_page
from governance.usedesk.queries.shown import shown_groups
from governance.verdicts.export_files import workbook_file

_WIDTHS = (22, 28, 16, 20, 22, 14, 14, 70, 26, 90, 14, 12)
_WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@require_GET
@requires(Verb.READ)
def request_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """What is asked, the answer by groups, what was decided and what is open."""
    found = get_object_or_404(UseRequest.objects.select_related("recipient", "scan", "answered_by", "closed_by"), pk=pk)
    page = request_page(found, request.user, is_split=bool(request.GET.get("split")))
    return render(request, "usedesk/request.html", {"found": found, "page": page, "desk": page.desk})


@require_GET
@requires(Verb.READ)
def request_group(request: HttpRequest, pk: int, group: str) -> HttpResponse:
    """One group: every reason, and its specimens."""
    found = get_object_or_404(UseRequest.objects.select_related("recipient"), pk=pk)
    desk = desk_answer(found)
    own = _group(desk, group)
    sort = request.GET.get("sort", "")
    pages = paged(request, ordered_ids(found, own, sort))
    shown, *parts = shown_groups([own, *own.parts], desk, request.user, decided_of(found))
    rows = rows_of(found, list(pages["page"].object_list), desk, request.user)
    context = {"found": found, "desk": desk, "shown": shown, "parts": parts, "rows": rows, "sort": sort}
    return render(request, "usedesk/request_group.html", context | pages)


def _group(desk: DeskAnswer, key: str) -> Group:
    """
    Raises:
        Http404: there is no such group, or none any more, since papers or facts have changed.
    """
    own = desk.group(key)
    if own is None:
        raise Http404(_("There is no such group any more: papers, verdicts or the request have changed."))
    return own


def _asked_for(request: HttpRequest, pk: int) -> tuple[UseRequest, DeskAnswer, list[int]]:
    """The request, its answer, and the specimens of the group that the address names; without one all."""
    found = get_object_or_404(UseRequest.objects.select_related("recipient"), pk=pk)
    desk = desk_answer(found)
    group = request.GET.get("group", "")
    return found, desk, list(_group(desk, group).ids if group else desk.ids)


@require_GET
@requires(Verb.EXPORT)
def request_csv(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    """All specimens with answer and reasons, as CSV. group: only those of a group."""
    found, desk, ids = _asked_for(request, pk)
    return csv_answer(f"answer-{found.pk}.csv", HEADER, export_rows(found, ids, desk, request.user))


@require_GET
@requires(Verb.EXPORT)
def request_xlsx(request: HttpRequest, pk: int) -> FileResponse:
    """The same as a workbook."""
    found, desk, ids = _asked_for(request, pk)
    file = workbook_file(_("Answer"), HEADER, _WIDTHS, export_rows(found, ids, desk, request.user))
    return FileResponse(file, as_attachment=True, filename=f"answer-{found.pk}.xlsx", content_type=_WORKBOOK)
