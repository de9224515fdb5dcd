"""Histories: what was written, by whom, from where; and all that happened to one record."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.models import Write
from accessions.people.paging import paged
from governance.audit.forms.histories import WritesForm
from governance.audit.queries.entries import (
    RecordHistory,
    belonging,
    head_number,
    kinds,
    record_history,
    sealed_rows,
    sizes,
    write_entries,
    writes,
)

HEADER = ("when", "who", "did", "why", "field", "before", "after", "page or command", "entry of the seal")


@require_GET
@requires(Verb.READ)
def write_list(request: HttpRequest) -> HttpResponse:
    """What was written, newest first."""
    form = WritesForm(request.GET)
    wanted = form.wanted()
    context = paged(request, writes(wanted), usual=50)
    rows, head = list(context["page"].object_list), head_number()
    context |= {"form": form, "lines": list(zip(rows, sizes(rows, head), strict=True)), "head": head}
    return render(request, "audit/writes.html", context)


@require_GET
@requires(Verb.READ)
def one_write(request: HttpRequest, number: int) -> HttpResponse:
    """What one write changed."""
    write = get_object_or_404(Write.objects.select_related("by"), pk=number)
    context = paged(request, sealed_rows(write), usual=50)
    entries = write_entries(list(context["page"].object_list), write, request.user)
    return render(request, "audit/write.html", context | {"write": write, "entries": entries})


@require_GET
@requires(Verb.READ)
def one_history(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """All that happened to a record."""
    context = {"history": _history(request, kind, pk), "pk": pk, "belonging": belonging(kind, pk)}
    return render(request, "audit/history.html", context)


@require_GET
@requires(Verb.EXPORT)
def history_csv(request: HttpRequest, kind: str, pk: int) -> StreamingHttpResponse:
    """The same as CSV: a row a field that changed."""
    return csv_answer(f"history-{kind}-{pk}.csv", HEADER, _rows(_history(request, kind, pk)))


def _history(request: HttpRequest, kind: str, pk: int) -> RecordHistory:
    found = record_history(kind, pk, request.user) if kind in kinds() else None
    if found is None:
        raise Http404(kind)
    return found


def _rows(history: RecordHistory) -> Iterator[list[Any]]:
    for entry in history.entries:
        origin = entry.write.origin if entry.write else ""
        if entry.change is None:
            yield ["", "", "", _("not open to you"), "", "", "", origin, entry.number]
            continue
        change = entry.change
        at = timezone.localtime(change.at).isoformat(sep=" ", timespec="seconds")
        fields = [(one.label, one.before, one.after) for one in change.fields] or [("", "", "")]
        for label, before, after in fields:
            yield [at, change.by, change.did, change.why, label, before, after, origin, entry.number]
