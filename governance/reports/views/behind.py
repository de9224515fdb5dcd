"""The rows behind a figure: on the page, and as CSV."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.reports.contents import DISTINCT, SUM, TableData
from governance.reports.models import Report, ReportTable
from governance.reports.naming import cells_of, column_name, is_number, table_name, words
from governance.reports.queries.behind import Asked, NoSuchRowsError, RowsBehind, asked, number_of
from governance.reports.queries.one_report import found_report
from governance.reports.queries.stored import table_of
from governance.reports.subjects import heading_of

ROWS_A_PAGE = 50


@require_GET
@requires(Verb.READ)
def report_rows(request: HttpRequest, pk: int, table: str) -> HttpResponse:
    """The rows that a figure rests on."""
    found = found_report(pk, request.user)
    data = _table(found, table)
    context: dict[str, Any] = {"found": found, "heading": heading_of(found), "table": data,
                               "table_name": table_name(table)}  # fmt: skip
    try:
        wanted = asked(data, request.GET)
    except NoSuchRowsError as problem:
        return render(request, "reports/report_rows.html", context | {"problem": str(problem)}, status=400)
    rows = RowsBehind(data, wanted)
    pages = paged(request, rows, ROWS_A_PAGE)
    context |= {
        "wanted": wanted, "sort": wanted.sort, "said": _said(data, wanted, rows), "where": _where(data, wanted),
        "heads": [(one.key, column_name(one.key), is_number(one)) for one in data.columns],
        "lines": [cells_of(data.columns, row) for row in pages["page"].object_list],
        "asked": request.GET.urlencode(),
    }  # fmt: skip
    return render(request, "reports/report_rows.html", context | pages)


def _table(found: Report, key: str) -> TableData:
    try:
        return table_of(found, key)
    except ReportTable.DoesNotExist:
        raise Http404(f"{found.reference} has no table {key}") from None


def _said(table: TableData, wanted: Asked, rows: RowsBehind) -> str:
    """How the rows make the number."""
    count, number = f"{len(rows):,}", words().amount(number_of(table, wanted, rows))
    name, _colon, column = wanted.proof.measure.partition(":")
    told = {"n": count, "number": number, "column": column_name(column) if column else ""}
    if f"{name}:" == SUM:
        return _("In these %(n)s rows the column “%(column)s” adds up to %(number)s: that is the figure.") % told
    if f"{name}:" == DISTINCT:
        return (
            _("In these %(n)s rows the column “%(column)s” has %(number)s different values: that is the figure.") % told
        )
    if len(rows) == 1:
        return _("This row makes the figure 1.")
    return _("These %(n)s rows make the figure %(n)s.") % told


def _where(table: TableData, wanted: Asked) -> list[tuple[str, str]]:
    """What the rows have in common, in words."""
    columns = {one.key: one for one in table.columns}
    told = words()
    return [
        (column_name(key), _("empty") if value in (None, "") else told.value(columns[key], value))
        for key, value in wanted.proof.where.items()
    ]


@require_GET
@requires(Verb.EXPORT)
def report_rows_csv(request: HttpRequest, pk: int, table: str) -> HttpResponseBase:
    """The same rows as CSV: codes and ISO days, as they are stored."""
    found = found_report(pk, request.user)
    data = _table(found, table)
    try:
        wanted = asked(data, request.GET)
    except NoSuchRowsError as problem:
        return HttpResponse(str(problem), status=400, content_type="text/plain; charset=utf-8")
    header = [one.key for one in data.columns]
    return csv_answer(f"{found.reference}-{table}.csv", header, RowsBehind(data, wanted))
