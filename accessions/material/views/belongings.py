"""Forms of the parts and deliveries of an accession, and of moving specimens between parts."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from accessions.material.actions.accessions import change_delivery, change_part, create_delivery, create_part
from accessions.material.actions.moves import move_to_part
from accessions.material.forms.accessions import DeliveryForm, MoveForm, PartForm
from accessions.material.models import Accession, Delivery, Part
from accessions.material.queries.accessions import next_delivery_number
from accessions.material.queries.specimens import events_of, specimens_in_range, specimens_of_events
from accessions.material.views.accessions import saved_words
from accessions.people.access import Verb, requires


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def part_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter a part of an accession."""
    accession = get_object_or_404(Accession, pk=pk)
    form = PartForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            part = create_part(accession, by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(
                request, _("Part %(part)s was entered. Now move specimens into it.") % {"part": part.letter}
            )
            return redirect("material:specimens-move", accession.pk)
    return render(request, "material/part_form.html", {"form": form, "accession": accession})


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def part_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a part."""
    part = get_object_or_404(Part.objects.select_related("accession"), pk=pk)
    form = PartForm(request.POST or None, instance=part)
    if request.method == "POST" and form.is_valid():
        try:
            changed = change_part(part, by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, saved_words(part, changed))
            return redirect("material:accession", part.accession_id)
    return render(request, "material/part_form.html", {"form": form, "accession": part.accession, "part": part})


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def delivery_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter a delivery of an accession."""
    accession = get_object_or_404(Accession, pk=pk)
    form = DeliveryForm(request.POST or None, initial={"number": next_delivery_number(accession)})
    if request.method == "POST" and form.is_valid():
        try:
            delivery = create_delivery(accession, by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("Delivery %(number)s was entered.") % {"number": delivery.number})
            return redirect("material:accession", accession.pk)
    return render(request, "material/delivery_form.html", {"form": form, "accession": accession})


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def delivery_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a delivery: such as the day on which it came out of quarantine."""
    delivery = get_object_or_404(Delivery.objects.select_related("accession"), pk=pk)
    if delivery.accession is None:  # its days stand on its path until it has a number
        return redirect("material:arrival", delivery.pk)
    form = DeliveryForm(request.POST or None, instance=delivery)
    if request.method == "POST" and form.is_valid():
        try:
            changed = change_delivery(delivery, by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, saved_words(delivery, changed))
            return redirect("material:accession", delivery.accession_id)
    context = {"form": form, "accession": delivery.accession, "delivery": delivery}
    return render(request, "material/delivery_form.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.LINK_PAPERS)
def specimens_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose specimens and a part, see how many that are, and only then move them."""
    accession = get_object_or_404(Accession, pk=pk)
    parts, events = list(accession.parts.all()), events_of(accession)
    form = MoveForm(request.POST or None, parts=parts, events=events)
    context: dict[str, Any] = {"form": form, "accession": accession, "parts": parts, "events": events}
    if request.method == "POST" and form.is_valid():
        chosen = _chosen(accession, form)
        part = next((part for part in parts if str(part.pk) == form.cleaned_data["target"]), None)
        if "confirmed" in request.POST:
            return _moved(request, accession, part, chosen, form.cleaned_data["why"])
        return render(request, "material/move_confirm.html", context | {"chosen": chosen, "part": part})
    return render(request, "material/move.html", context)


def _chosen(accession: Accession, form: MoveForm) -> list[int]:
    events = form.cleaned_data["event_keys"]
    chosen = specimens_of_events(accession, events) if events else []
    wanted = form.cleaned_data.get("range")
    return sorted({*chosen, *(specimens_in_range(accession, wanted) if wanted else [])})


def _moved(request: HttpRequest, accession: Accession, part: Part | None, chosen: list[int], why: str) -> HttpResponse:
    moved = move_to_part(accession, part, chosen, by=request.user, why=why)
    where = _("part %(part)s") % {"part": part.letter} if part else _("no part")
    words = ngettext("%(n)s specimen is now in %(where)s.", "%(n)s specimens are now in %(where)s.", moved)
    messages.success(request, words % {"n": moved, "where": where})
    return redirect("material:accession", accession.pk)
