"""The steps of the path of a delivery, each with its form: quarantine, release, accession number."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_http_methods

from accessions.material.actions.arrivals import (
    give_new_accession,
    join_accession,
    put_into_quarantine,
    release,
    take_release_back,
)
from accessions.material.forms.accessions import AccessionForm
from accessions.material.forms.arrivals import JoinForm, QuarantineForm, ReleaseForm, TakeReleaseBackForm
from accessions.material.models import Accession, Delivery
from accessions.material.quarantine_regimes import NONE, OWN, REGIMES, WAIVERS
from accessions.material.queries.arrivals import accessions_to_join, last_accession_number
from accessions.material.views.arrivals import delivery_of
from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def arrival_quarantine(request: HttpRequest, pk: int) -> HttpResponse:
    """Into which quarantine it went, or why it needs none."""
    delivery = delivery_of(pk)
    start = {"quarantine_in_on": timezone.localdate(), "quarantine_by": person_of(request).shown_name}
    form = QuarantineForm(posted(request), delivery=delivery, initial={} if delivery.quarantine_in_on else start)
    if request.method == "POST" and form.is_valid():
        try:
            put_into_quarantine(delivery, by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("The quarantine is recorded."))
            return redirect("material:arrival", delivery.pk)
    context = {
        "form": form, "delivery": delivery, "regimes": REGIMES, "waivers": WAIVERS, "own": OWN, "none": NONE,
    }  # fmt: skip
    return render(request, "material/arrival_quarantine.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.RELEASE_MATERIAL)
def arrival_release(request: HttpRequest, pk: int) -> HttpResponse:
    """The gate: it opens once the hours have passed."""
    delivery = delivery_of(pk)
    form = ReleaseForm(posted(request), delivery=delivery, initial={"out_on": timezone.localdate()})
    if request.method == "POST" and form.is_valid():
        out_on = form.cleaned_data.get("out_on") or timezone.localdate()
        try:
            release(delivery, out_on=out_on, by=request.user, why=form.why)
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("%(delivery)s is released to the collection.") % {"delivery": delivery})
            return redirect("material:arrival", delivery.pk)
    context = {"form": form, "delivery": delivery}
    return render(request, "material/arrival_release.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.RELEASE_MATERIAL)
def arrival_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a release back that was a mistake."""
    delivery = delivery_of(pk)
    form = TakeReleaseBackForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            take_release_back(delivery, by=request.user, why=form.cleaned_data["why"])
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(
                request, _("The release is taken back. %(delivery)s waits again.") % {"delivery": delivery}
            )
            return redirect("material:arrival", delivery.pk)
    return render(request, "material/arrival_take_back.html", {"form": form, "delivery": delivery}, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def arrival_accession(request: HttpRequest, pk: int) -> HttpResponse:
    """A new accession from what the receipt says, or the next delivery of one that is there."""
    delivery = delivery_of(pk)
    joins = "join" in request.POST
    sent = posted(request)
    new = AccessionForm(None if joins else sent, initial=_start(delivery))
    join = JoinForm(sent if joins else None, prefix="join")
    form = join if joins else new
    if sent is not None and form.is_valid():
        try:
            accession = _numbered(request, delivery, new, join if joins else None)
        except ValidationError as error:
            form.refuse(error)
        else:
            words = _("%(entry)s is delivery %(n)d of %(number)s. Now its papers go into the file.")
            said = {"entry": delivery.entry_number, "n": delivery.number, "number": accession.number}
            messages.success(request, words % said)
            return redirect("material:arrival", delivery.pk)
    context = {
        "form": new, "join": join, "delivery": delivery, "last_number": last_accession_number(),
        "to_join": accessions_to_join(delivery),
    }  # fmt: skip
    return render(request, "material/arrival_accession.html", context, status=form.status)


def _start(delivery: Delivery) -> dict[str, Any]:
    """What the receipt says of the accession."""
    return {
        "title": delivery.contents[:200], "source": delivery.sender, "received_on": delivery.received_on,
        "accessioned_on": timezone.localdate(), "description": delivery.contents,
    }  # fmt: skip


def _numbered(request: HttpRequest, delivery: Delivery, new: AccessionForm, join: JoinForm | None) -> Accession:
    if join is None:
        return give_new_accession(delivery, by=request.user, why=new.why, **new.values())
    join_accession(
        delivery, join.accession, by=request.user, why=gettext_noop("joined from %(entry)s") % {"entry": delivery}
    )
    return join.accession
