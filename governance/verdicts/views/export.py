"""The list of specimens as a file."""

from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponseBase, QueryDict, StreamingHttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.engine.tables import Layer
from governance.verdicts.export_files import csv_lines, workbook_file
from governance.verdicts.forms.selections import Selection
from governance.verdicts.ggbn import HEADER
from governance.verdicts.queries.export_rows import export_rows, header
from governance.verdicts.queries.permit_terms import permit_rows

MOST_IN_A_WORKBOOK = 100_000
"""Rows of one workbook: it is written whole before it is sent; a CSV file of any length is sent as it is written."""

_WIDTHS = (20, 16, 7, 30, 13, 13, 22, 9, 28, 46, *([16] * len(Layer)), 16, 12, 90, 40)
_WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@require_GET
@requires(Verb.EXPORT)
def specimens_export(request: HttpRequest, form: str) -> HttpResponseBase:
    """The ticked rows, or all that the list shows. form: csv or xlsx."""
    if form not in ("csv", "xlsx"):
        raise Http404
    keys = _selection(request.GET).keys()
    name = f"specimens-{timezone.localdate().isoformat()}.{form}"
    if form == "csv":
        answer = StreamingHttpResponse(csv_lines(header(), export_rows(keys)), content_type="text/csv; charset=utf-8")
        answer["Content-Disposition"] = f'attachment; filename="{name}"'
        return answer
    if len(keys) > MOST_IN_A_WORKBOOK:
        messages.error(request, _(
            "The list has %(n)d rows; a workbook takes %(most)d. Narrow the list, or take it as CSV."
        ) % {"n": len(keys), "most": MOST_IN_A_WORKBOOK})  # fmt: skip
        return redirect("verdicts:specimens")
    file = workbook_file(_("Specimens"), header(), _WIDTHS, export_rows(keys))
    return FileResponse(file, as_attachment=True, filename=name, content_type=_WORKBOOK)


@require_GET
@requires(Verb.EXPORT)
def specimens_permits(request: HttpRequest) -> HttpResponseBase:
    """Permit terms of the ticked rows, or of all that the list shows: one row a set of terms."""
    lines = csv_lines(HEADER, permit_rows(_selection(request.GET).keys()))
    answer = StreamingHttpResponse(lines, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="permits.csv"'
    return answer


def _selection(asked: QueryDict) -> Selection:
    """Ticked rows carry the list in ``of``; without it the address itself is the list, and all of it is meant."""
    if "of" in asked:
        return Selection.asked(asked)
    whole = QueryDict(mutable=True)
    whole.update({"of": asked.urlencode(), "all": "1"})
    return Selection.asked(whole)
