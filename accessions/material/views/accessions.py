"""The list of accessions, one accession, its forms and its summary for print."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from accessions.material.actions.accessions import change_accession, create_accession
from accessions.material.forms.accessions import AccessionFilterForm, AccessionForm
from accessions.material.models import Accession
from accessions.material.queries.accessions import accessions, changes_of_accession, summary_of
from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged

CSV_HEADER = (
    "accessionNumber", "title", "kind", "source", "received on", "accessioned on", "specimens", "total", "total is",
    "not released from quarantine",
)  # fmt: skip


@require_GET
@requires(Verb.READ)
def accession_list(request: HttpRequest) -> HttpResponse:
    """All accessions, narrowed and ordered as asked."""
    form = AccessionFilterForm(request.GET)
    narrowed = form.narrowed()
    context = {"form": form, "narrowed": narrowed, "all_accessions": Accession.objects.count()}
    return render(request, "material/accessions.html", context | paged(request, accessions(narrowed)))


@require_GET
@requires(Verb.EXPORT)
def accession_export(request: HttpRequest) -> StreamingHttpResponse:
    """The same list as CSV."""
    rows = accessions(AccessionFilterForm(request.GET).narrowed())
    return csv_answer("accessions.csv", CSV_HEADER, _csv_rows(rows))


def _csv_rows(rows: Any) -> Iterator[tuple[Any, ...]]:
    for accession in rows.iterator():
        yield (
            accession.number,
            accession.title,
            accession.kind,
            accession.source.name if accession.source else "",
            accession.received_on,
            accession.accessioned_on,
            accession.specimen_count,
            accession.total,
            accession.total_kind,
            "yes" if accession.waits else "no",
        )


@require_GET
@requires(Verb.READ)
def accession_page(request: HttpRequest, pk: int) -> HttpResponse:
    """One accession: parts, papers and verdicts (drawn by the tags of the verdicts room), deliveries, history."""
    accession = get_object_or_404(Accession.objects.select_related("source"), pk=pk)
    context = {
        "accession": accession,
        "summary": summary_of(accession),
        "changes": changes_of_accession(accession),
    }
    return render(request, "material/accession.html", context)


@require_GET
@requires(Verb.READ)
def accession_summary(request: HttpRequest, pk: int) -> HttpResponse:
    """One accession on paper."""
    accession = get_object_or_404(Accession.objects.select_related("source"), pk=pk)
    return render(request, "material/summary.html", {"accession": accession, "summary": summary_of(accession)})


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def accession_new(request: HttpRequest) -> HttpResponse:
    """Enter an accession."""
    form = AccessionForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            accession = create_accession(by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("Accession %(number)s was entered.") % {"number": accession.number})
            return redirect("material:accession", accession.pk)
    return render(request, "material/accession_form.html", {"form": form})


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def accession_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change an accession."""
    accession = get_object_or_404(Accession, pk=pk)
    shown = accession.number
    form = AccessionForm(request.POST or None, instance=accession)
    if request.method == "POST" and form.is_valid():
        try:
            changed = change_accession(accession, by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, saved_words(accession, changed))
            return redirect("material:accession", accession.pk)
    return render(request, "material/accession_form.html", {"form": form, "accession": accession, "shown": shown})


def saved_words(row: Any, changed: list[str]) -> str:
    """What a save did, for the message after it."""
    if not changed:
        return _("Nothing was changed.")
    labels = [str(row._meta.get_field(name).verbose_name) for name in changed]
    return _("Saved: %(fields)s.") % {"fields": ", ".join(labels)}
