"""The rows behind a figure: on the page, as CSV, and as a workbook."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from decimal import Decimal
from typing import Any, Final

from django.contrib import messages
from django.contrib.humanize.templatetags.humanize import intcomma
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.reports.contents import DISTINCT, SUM, YEAR, Column, ColumnType, Row, TableData, Value
from governance.reports.models import Report, ReportFile, ReportTable
from governance.reports.naming import column_name, is_number, table_name, words
from governance.reports.queries.behind import Asked, NoSuchRowsError, RowsBehind, asked, number_of
from governance.reports.queries.one_report import found_report
from governance.reports.queries.row_links import row_links
from governance.reports.queries.sizes import AT_ONCE
from governance.reports.queries.stored import table_of
from governance.reports.subjects import heading_of
from governance.reports.views.files import TYPES
from governance.reports.writing.cells import width_of
from governance.verdicts.export_files import workbook_file

ROWS_A_PAGE = 50

_REFERENCES: Final = frozenset({
    "specimen", "accession", "paper", "entry", "request", "taken_from", "receipt", "sequence", "clause_number",
})  # fmt: skip
"""Columns of numbers and references: they are never broken over lines."""


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
        "asked": request.GET.urlencode(), "is_short": len(rows) <= AT_ONCE,
    } | _shown(data, wanted, list(pages["page"].object_list))  # fmt: skip
    return render(request, "reports/report_rows.html", context | pages)


def _table(found: Report, key: str) -> TableData:
    if found.contents is None:
        raise Http404(f"{found.reference} is to be composed first")
    try:
        return table_of(found, key)
    except ReportTable.DoesNotExist:
        raise Http404(f"{found.reference} has no table {key}") from None


def _shown(table: TableData, wanted: Asked, rows: Sequence[Row]) -> dict[str, Any]:
    """Heads and cells of a page: what names the row first, then what the address asks about; columns without any value
    on the page are named and left out."""
    asked_about = _asked_about(wanted)
    blank = [
        one for place, one in enumerate(table.columns)
        if one.key not in asked_about and rows and all(row[place] in (None, "") for row in rows)
    ]  # fmt: skip
    first, *rest = table.columns
    ordered = [first, *(one for one in rest if one.key in asked_about), *rest]
    columns = [one for one in dict.fromkeys(ordered) if one not in blank]
    links, told = row_links(table.columns, rows), words()
    places = [(one, table.place(one.key)) for one in columns]
    return {
        "heads": [(one.key, column_name(one.key), is_number(one)) for one in columns],
        "lines": [
            [(told.value(one, row[place]), _look(one), links.get((one.key, row[place]), "")) for one, place in places]
            for row in rows
        ],
        "blank": [column_name(one.key) for one in blank],
    }  # fmt: skip


def _asked_about(wanted: Asked) -> set[str]:
    """The columns of the condition, of the measure and of the order."""
    named = {key.removeprefix(YEAR) for key in wanted.proof.where}
    return named | {wanted.proof.measure.partition(":")[2], wanted.sort.removeprefix("-")} - {""}


def _look(column: Column) -> str:
    return "ref" if column.key in _REFERENCES else column.type.value


def _said(table: TableData, wanted: Asked, rows: RowsBehind) -> str:
    """How the rows make the number."""
    count, number = intcomma(len(rows)), words().amount(number_of(table, wanted, rows))
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
    return [_condition(columns[key.removeprefix(YEAR)], key, value) for key, value in wanted.proof.where.items()]


def _condition(column: Column, key: str, value: Value) -> tuple[str, str]:
    if key.startswith(YEAR):
        return _("%(column)s, year") % {"column": column_name(column.key)}, str(value or _("empty"))
    return column_name(key), _("empty") if value in (None, "") else words().value(column, value)


@require_GET
@requires(Verb.EXPORT)
def report_rows_csv(request: HttpRequest, pk: int, table: str) -> HttpResponseBase:
    """The same rows as CSV: codes and ISO days, as they are stored."""
    return _file(request, pk, table, "csv")


@require_GET
@requires(Verb.EXPORT)
def report_rows_xlsx(request: HttpRequest, pk: int, table: str) -> HttpResponseBase:
    """The same rows as a workbook with days and numbers as such; very many of them are only in that of the report."""
    return _file(request, pk, table, "xlsx")


def _file(request: HttpRequest, pk: int, table: str, form: str) -> HttpResponseBase:
    found = found_report(pk, request.user)
    data = _table(found, table)
    try:
        rows = RowsBehind(data, asked(data, request.GET))
    except NoSuchRowsError as problem:
        return HttpResponse(str(problem), status=400, content_type="text/plain; charset=utf-8")
    header, name = [one.key for one in data.columns], f"{found.reference}-{table}.{form}"
    if form == "csv":
        return csv_answer(name, header, rows)
    if len(rows) > AT_ONCE:
        messages.info(request, _("These are too many rows for a workbook of their own: take CSV, or the workbook of "
                                 "the whole report."))  # fmt: skip
        return redirect("reports:report", pk)
    file = workbook_file(table_name(table)[:31], header, [width_of(one) for one in data.columns], _typed(data, rows))
    return FileResponse(file, as_attachment=True, filename=name, content_type=TYPES[ReportFile.Format.XLSX.value])


def _typed(table: TableData, rows: Iterable[Row]) -> Iterator[list[Any]]:
    """Rows with days and decimals as such."""
    read: dict[ColumnType, Any] = {ColumnType.DAY: date.fromisoformat, ColumnType.DECIMAL: Decimal}
    readers = [read.get(one.type) for one in table.columns]
    for row in rows:
        yield [_read(reader, value) for reader, value in zip(readers, row, strict=True)]


def _read(reader: Any, value: Value) -> Any:
    if reader is None or value in (None, ""):
        return value
    try:
        return reader(value)
    except (ValueError, ArithmeticError):  # a day that is not written in full stays as it is written
        return value
