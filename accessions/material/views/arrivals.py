"""The list of what arrived and waits, and the guided path of one delivery to its accession number."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from accessions.material.actions.arrivals import correct_receipt, receive_delivery
from accessions.material.forms.arrivals import ArrivalFilterForm, ReceiptForm
from accessions.material.models import Delivery
from accessions.material.queries.arrivals import Waiting, arrivals, waiting_count
from accessions.material.queries.path import label_rows, path_of
from accessions.material.views.accessions import saved_words
from accessions.people.access import Verb, person_of, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.entry_forms import posted
from accessions.people.paging import paged

CSV_HEADER = (
    "entryNumber", "stands at", "from", "brought by", "contents", "boxes", "received on", "received by",
    "days waiting", "into quarantine on", "treatment", "hours", "earliest release on", "no quarantine because",
    "out of quarantine on", "released on", "accessionNumber",
)  # fmt: skip


def delivery_of(pk: int) -> Delivery:
    """A delivery with the rows that its pages show."""
    related = Delivery.objects.select_related("sender", "accession", "released_by")
    return get_object_or_404(related, pk=pk)


@require_GET
@requires(Verb.READ)
def arrival_list(request: HttpRequest) -> HttpResponse:
    """What waits and where it stands, the oldest first."""
    form = ArrivalFilterForm(request.GET)
    narrowed = form.narrowed()
    rows = arrivals(narrowed, timezone.localdate())
    context = {"form": form, "narrowed": narrowed, "waiting": waiting_count()}
    return render(request, "material/arrivals.html", context | paged(request, rows))


@require_GET
@requires(Verb.EXPORT)
def arrivals_export(request: HttpRequest) -> StreamingHttpResponse:
    """The same list as CSV."""
    rows = arrivals(ArrivalFilterForm(request.GET).narrowed(), timezone.localdate())
    return csv_answer("arrivals.csv", CSV_HEADER, _csv_rows(rows))


def _csv_rows(rows: list[Waiting]) -> Iterator[tuple[Any, ...]]:
    for row in rows:
        delivery = row.delivery
        yield (
            delivery.entry_number, row.stand, str(delivery.sender or ""), delivery.brought_by, delivery.contents,
            delivery.boxes, delivery.received_on, delivery.received_by, row.days, delivery.quarantine_in_on,
            delivery.treatment, delivery.treatment_hours, delivery.earliest_release_on, delivery.quarantine_waived,
            delivery.quarantine_out_on, delivery.released_at and timezone.localdate(delivery.released_at),
            str(delivery.accession or ""),
        )  # fmt: skip


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def arrival_new(request: HttpRequest) -> HttpResponse:
    """The receipt of what just arrived."""
    today = timezone.localdate()
    start = {"received_on": today, "received_by": person_of(request).shown_name}
    form = ReceiptForm(posted(request), today=today, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            delivery = receive_delivery(by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            words = _("%(number)s was received. Print the receipt and the labels, then go on with quarantine.")
            messages.success(request, words % {"number": delivery.entry_number})
            return redirect("material:arrival", delivery.pk)
    return render(request, "material/arrival_new.html", {"form": form}, status=form.status)


@require_GET
@requires(Verb.READ)
def arrival(request: HttpRequest, pk: int) -> HttpResponse:
    """The path of one delivery: what is done, what comes now, what later."""
    delivery = delivery_of(pk)
    path = path_of(delivery, timezone.localdate())
    return render(request, "material/arrival.html", {"delivery": delivery, "path": path})


@require_GET
@requires(Verb.READ)
def arrival_receipt(request: HttpRequest, pk: int) -> HttpResponse:
    """The receipt on paper, with a label for each box."""
    delivery = delivery_of(pk)
    return render(request, "material/arrival_receipt.html", {"delivery": delivery, "labels": label_rows(delivery)})


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def arrival_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct the receipt."""
    delivery = delivery_of(pk)
    shown = str(delivery.entry_number or delivery)
    form = ReceiptForm(posted(request), instance=delivery, today=timezone.localdate())
    if request.method == "POST" and form.is_valid():
        try:
            changed = correct_receipt(delivery, by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, saved_words(delivery, changed))
            return redirect("material:arrival", delivery.pk)
    context = {"form": form, "delivery": delivery, "shown": shown}
    return render(request, "material/arrival_edit.html", context, status=form.status)
