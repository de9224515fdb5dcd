"""The way of a delivery from its arrival to an accession number: receipt, quarantine, release, accession."""

from __future__ import annotations

from datetime import date
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.actions.accessions import create_accession
from accessions.material.models import Accession, Delivery
from accessions.material.queries.accessions import next_delivery_number
from accessions.material.queries.arrivals import next_entry_number
from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import record

RECEIPT_FIELDS: Final = frozenset({
    "entry_number", "brought_by", "sender", "contents", "boxes", "received_on", "received_by", "remarks"
})  # fmt: skip
QUARANTINE_FIELDS: Final = frozenset({
    "quarantine_in_on", "quarantine_by", "quarantine_waived", "treatment", "treatment_degrees_c", "treatment_hours"
})  # fmt: skip
_TRIES: Final = 5


def receive_delivery(*, by: Any, why: str, **values: Any) -> Delivery:
    """Enter what arrived. Without an entry number it gets the next free one of the year in which it came.

    Raises:
        ValidationError: the entry number is taken, or a value may not be so.
    """
    check(by, Verb.ENTER_FACTS)
    if values.get("entry_number"):
        return _received(values, by=by, why=why)
    for _unused in range(_TRIES):  # somebody at the next desk may have taken the number between
        number = next_entry_number(values.get("received_on") or timezone.localdate())
        try:
            return _received(values | {"entry_number": number}, by=by, why=why)
        except ValidationError as error:
            if "entry_number" not in getattr(error, "error_dict", {}):
                raise
    raise ValidationError({"entry_number": _("No free entry number was found. Write one.")})


def _received(values: dict[str, Any], *, by: Any, why: str) -> Delivery:
    delivery = Delivery(number=0, **values)
    taken = ValidationError({"entry_number": _("Another delivery has this entry number.")})
    if Delivery.objects.filter(entry_number=values["entry_number"]).exists():
        raise taken
    try:
        with transaction.atomic():
            add(delivery, by=by, why=why)
    except IntegrityError:  # taken since it was looked up
        raise taken from None
    return delivery


def correct_receipt(delivery: Delivery, *, by: Any, why: str, **values: Any) -> list[str]:
    """Correct what was written of the arrival. Returns the names of the fields that changed.

    Raises:
        ValidationError: the entry number is taken, or a value may not be so.
    """
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        changed = change(delivery, values, editable=RECEIPT_FIELDS, by=by, why=why)
        if "received_on" in changed and delivery.accession_id:
            touch(Scope.DELIVERY, [delivery.pk], by=by, why=why)
    return changed


def put_into_quarantine(delivery: Delivery, *, by: Any, why: str, **values: Any) -> list[str]:
    """Record that it went into quarantine, how and for how long; or why it needs none.

    Raises:
        ValidationError: it was released already, or a value may not be so.
    """
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        _locked(delivery)
        if delivery.released_at is not None:
            raise ValidationError(_("It was released already. Take the release back before you change its quarantine."))
        return change(delivery, values, editable=QUARANTINE_FIELDS, by=by, why=why)


def release(delivery: Delivery, *, out_on: date, by: Any, why: str) -> Delivery:
    """Let the material go to the collection.

    Args:
        out_on: the day on which it came out of quarantine; not used where it needed none.

    Raises:
        ValidationError: it is in no quarantine yet, or its hours have not passed, or the day has not come.
    """
    check(by, Verb.RELEASE_MATERIAL)
    with transaction.atomic():
        _locked(delivery)
        refusal = why_not_released(delivery, out_on, timezone.localdate())
        if refusal:
            raise ValidationError(refusal)
        delivery.released_at, delivery.released_by = timezone.now(), by
        fields = ["released_at", "released_by"]
        if delivery.quarantine_in_on is not None:
            delivery.quarantine_out_on = out_on
            fields.append("quarantine_out_on")
        record(delivery, by=by, why=why, fields=fields)
    return delivery


def take_release_back(delivery: Delivery, *, by: Any, why: str) -> Delivery:
    """Undo a release that was a mistake; the history keeps both. It waits at the gate again.

    Raises:
        ValidationError: it was not released.
    """
    check(by, Verb.RELEASE_MATERIAL)
    with transaction.atomic():
        _locked(delivery)
        if delivery.released_at is None:
            raise ValidationError(_("It was not released, so there is nothing to take back."))
        delivery.released_at = delivery.released_by = delivery.quarantine_out_on = None
        record(delivery, by=by, why=why, fields=["released_at", "released_by", "quarantine_out_on"])
    return delivery


def why_not_released(delivery: Delivery, out_on: date, today: date) -> str:
    """The sentence with which the gate refuses; "" if it opens."""
    if delivery.released_at is not None:
        return _("It was released already.")
    if delivery.quarantine_waived:
        return ""
    earliest = delivery.earliest_release_on
    if earliest is None:
        return _("Say first into which quarantine it went, or why it needs none.")
    if out_on > today:
        return _("The day on which it came out lies ahead. Write today’s day, or come back on that day.")
    if out_on < earliest:
        return _too_early(delivery, _day(delivery.quarantine_in_on), _day(earliest))
    return ""


def _day(day: date | None) -> str:
    return date_format(day, "j F Y") if day else ""


def _too_early(delivery: Delivery, into: str, earliest: str) -> str:
    hours = delivery.treatment_hours or 0
    words = ngettext(
        "It went in on %(day)s for %(hours)d hour, which has passed for certain from %(earliest)s on. Release it then.",
        "It went in on %(day)s for %(hours)d hours, which have passed for certain from %(earliest)s on. "
        "Release it then.",
        hours,
    )
    return words % {"day": into, "hours": hours, "earliest": earliest}


def give_new_accession(delivery: Delivery, *, by: Any, why: str, **values: Any) -> Accession:
    """Enter an accession whose first delivery this is.

    Raises:
        ValidationError: its number is taken, a value may not be so, or the delivery has an accession.
    """
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        accession = create_accession(by=by, why=why, **values)
        join_accession(delivery, accession, by=by, why=why)
    return accession


def join_accession(delivery: Delivery, accession: Accession, *, by: Any, why: str) -> Delivery:
    """Make it the next delivery of an accession.

    Raises:
        ValidationError: it has an accession already.
    """
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        Accession.objects.select_for_update().get(pk=accession.pk)  # numbers of its deliveries: one person at a time
        _locked(delivery)
        if delivery.accession_id is not None:
            raise ValidationError(_("It has the accession %(number)s already.") % {"number": delivery.accession})
        delivery.accession, delivery.number = accession, next_delivery_number(accession)
        delivery.full_clean()
        record(delivery, by=by, why=why, fields=["accession", "number"])
    return delivery


def _locked(delivery: Delivery) -> None:
    """The delivery as it is now, kept from others until the end of the transaction."""
    Delivery.objects.select_for_update().get(pk=delivery.pk)
    delivery.refresh_from_db()
