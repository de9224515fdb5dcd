"""The check of a plan as a file."""

from __future__ import annotations

from django.http import FileResponse, HttpRequest, HttpResponseBase, StreamingHttpResponse
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.plans.models import FieldPlan
from governance.plans.queries.check import check_plan
from governance.plans.queries.matrix import HEADER, WIDTHS, Only, table_rows
from governance.plans.views.one_plan import found_plan
from governance.verdicts.export_files import csv_lines, workbook_file

_WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@require_GET
@requires(Verb.EXPORT)
def plan_csv(request: HttpRequest, pk: int) -> HttpResponseBase:
    """One line a cell, of the stops that the page shows."""
    plan = found_plan(pk)
    rows = table_rows(check_plan(plan, today=timezone.localdate()), Only.asked(request.GET))
    answer = StreamingHttpResponse(csv_lines(HEADER, rows), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{_name(plan)}.csv"'
    return answer


@require_GET
@requires(Verb.EXPORT)
def plan_xlsx(request: HttpRequest, pk: int) -> HttpResponseBase:
    """The same as a workbook."""
    plan = found_plan(pk)
    rows = table_rows(check_plan(plan, today=timezone.localdate()), Only.asked(request.GET))
    file = workbook_file(_("Check"), HEADER, WIDTHS, rows)
    return FileResponse(file, as_attachment=True, filename=f"{_name(plan)}.xlsx", content_type=_WORKBOOK)


def _name(plan: FieldPlan) -> str:
    return f"{slugify(plan.reference) or 'plan'}-check-{timezone.localdate().isoformat()}"
