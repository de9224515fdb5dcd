"""Accessions, their parts and deliveries: entered and changed."""

from __future__ import annotations

from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from accessions.material.models import Accession, Delivery, Part
from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.editing import add, change

ACCESSION_FIELDS: Final = frozenset({
    "number", "title", "kind", "source", "received_on", "accessioned_on", "total", "total_kind", "description"
})  # fmt: skip
PART_FIELDS: Final = frozenset({"letter", "title"})
DELIVERY_FIELDS: Final = frozenset({
    "number", "received_on", "exported_on", "imported_on", "transferred_on", "quarantine_in_on", "quarantine_out_on",
    "treatment", "remarks",
})  # fmt: skip

_JUDGED_OF_ACCESSION: Final = frozenset({"number", "received_on"})
_OF_THE_GATE: Final = frozenset({"quarantine_in_on", "quarantine_out_on"})
_JUDGED_OF_DELIVERY: Final = frozenset({"received_on", "exported_on", "imported_on", "transferred_on"})
"""What verdicts read; a new title or a day of quarantine changes none."""


def create_accession(*, by: Any, why: str, **values: Any) -> Accession:
    """Enter an accession.

    Raises:
        ValidationError: its number is taken, or a value may not be so.
    """
    check(by, Verb.ENTER_FACTS)
    accession = Accession(**values)
    try:
        with transaction.atomic():
            add(accession, by=by, why=why)
    except IntegrityError:  # taken since it was looked up
        raise ValidationError({"number": _("Another accession has this number.")}) from None
    return accession


def change_accession(accession: Accession, *, by: Any, why: str, **values: Any) -> list[str]:
    """Change an accession. Returns the names of the fields that changed.

    Raises:
        ValidationError: its number is taken, or a value may not be so.
    """
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        changed = change(accession, values, editable=ACCESSION_FIELDS, by=by, why=why)
        if _JUDGED_OF_ACCESSION.intersection(changed):
            touch(Scope.ACCESSION, [accession.pk], by=by, why=why)
    return changed


def create_part(accession: Accession, *, by: Any, why: str, **values: Any) -> Part:
    """Enter a part, without specimens yet.

    Raises:
        ValidationError: the accession has a part of this name.
    """
    check(by, Verb.ENTER_FACTS)
    part = Part(accession=accession, **values)
    with transaction.atomic():
        add(part, by=by, why=why)
    return part


def change_part(part: Part, *, by: Any, why: str, **values: Any) -> list[str]:
    """Change a part. Returns the names of the fields that changed.

    Raises:
        ValidationError: the accession has a part of this name.
    """
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        changed = change(part, values, editable=PART_FIELDS, by=by, why=why)
        if "letter" in changed:
            touch(Scope.PART, [part.pk], by=by, why=why)
    return changed


def create_delivery(accession: Accession, *, by: Any, why: str, **values: Any) -> Delivery:
    """Enter a delivery.

    Raises:
        ValidationError: its number is taken, or a value may not be so.
    """
    check(by, Verb.ENTER_FACTS)
    if values.get("quarantine_out_on"):
        check(by, Verb.RELEASE_MATERIAL)
    delivery = Delivery(accession=accession, **values)
    with transaction.atomic():
        add(delivery, by=by, why=why)
    return delivery


def change_delivery(delivery: Delivery, *, by: Any, why: str, **values: Any) -> list[str]:
    """Change a delivery. Returns the names of the fields that changed.

    Raises:
        ValidationError: a value may not be so.
    """
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        changed = change(delivery, values, editable=DELIVERY_FIELDS, by=by, why=why)
        if _OF_THE_GATE.intersection(changed):
            _check_gate(delivery, changed, by=by)
        if _JUDGED_OF_DELIVERY.intersection(changed):
            touch(Scope.DELIVERY, [delivery.pk], by=by, why=why)
    return changed


def _check_gate(delivery: Delivery, changed: list[str], *, by: Any) -> None:
    """What came in by a receipt leaves quarantine through its release, whose hours count; other material as before."""
    if delivery.entry_number:
        name = "quarantine_out_on" if "quarantine_out_on" in changed else "quarantine_in_on"
        message = _("It came in under %(entry)s: quarantine and release are recorded on the page of its arrival.")
        raise ValidationError({name: message % {"entry": delivery.entry_number}})
    if "quarantine_out_on" in changed:
        check(by, Verb.RELEASE_MATERIAL)
