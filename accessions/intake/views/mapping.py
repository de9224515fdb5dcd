"""How a file is read: the term of each column, and the dates that labels write."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_http_methods

from accessions.intake.actions import IntakeError, confirm_dates, map_columns
from accessions.intake.forms import DatesForm, MappingForm
from accessions.intake.label_dates import date_columns
from accessions.intake.models import Batch
from accessions.intake.previews import columns_of, summary_words
from accessions.intake.queries import batch_or_404
from accessions.intake.stored import rows_as_written, table_of
from accessions.people.access import Verb, requires


@require_http_methods(["GET", "HEAD", "POST"])
@requires(Verb.PREPARE_INTAKE)
def batch(request: HttpRequest, pk: int) -> HttpResponse:
    """The columns of an open file; of a file that is done, what became of it."""
    found = batch_or_404(pk)
    if found.state != Batch.State.RECEIVED:
        return render(request, "intake/batch_done.html", {"batch": found, "words": summary_words(found.summary)})
    table = table_of(found)
    form = MappingForm(table.columns, found.mapping, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            found = map_columns(batch=found, terms=form.terms, by=request.user, why=gettext_noop("Columns chosen"))
        except IntakeError as refused:
            messages.error(request, str(refused))
            return redirect("intake:batch", pk)
        has_dates = bool(date_columns(rows_as_written(found)))
        return redirect("intake:batch-dates" if has_dates else "intake:batch-preview", pk)
    columns = columns_of(table, form, found.mapping)
    aside = sum(column.is_aside for column in columns)
    return render(
        request,
        "intake/mapping.html",
        {"batch": found, "form": form, "columns": columns, "table": table, "aside": aside},
        status=422 if form.errors else 200,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@requires(Verb.PREPARE_INTAKE)
def batch_dates(request: HttpRequest, pk: int) -> HttpResponse:
    """Dates as labels write them, confirmed for a whole column at once."""
    found = batch_or_404(pk)
    if found.state != Batch.State.RECEIVED:
        return redirect("intake:batch", pk)
    columns = date_columns(rows_as_written(found))
    form = DatesForm(columns, found.dates, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            confirm_dates(batch=found, answers=form.answers, by=request.user, why=gettext_noop("Dates confirmed"))
        except IntakeError as refused:
            messages.error(request, str(refused))
        return redirect("intake:batch-preview", pk)
    return render(
        request,
        "intake/dates.html",
        {"batch": found, "form": form, "pairs": [(column, form[column.term]) for column in columns]},
        status=422 if form.errors else 200,
    )
