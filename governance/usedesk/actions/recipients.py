"""Recipients: institutions and persons that receive material or data."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.models import Recipient, RequestDecision

EDITABLE = ("name", "kind", "country", "address", "contact", "agent", "cites_code", "cites_checked_on", "remarks")


def add_recipient(*, values: Mapping[str, Any], by: Any, why: str = "") -> Recipient:
    """Enter a recipient.

    Raises:
        ValidationError: a value does not hold, or the recipient is on file already.
    """
    check(by, Verb.TAKE_REQUESTS)
    made = Recipient(**{name: values[name] for name in EDITABLE if name in values})
    with transaction.atomic():
        add(made, by=by, why=why or gettext_noop("entered"))
    return made


def edit_recipient(*, recipient: Recipient, values: Mapping[str, Any], by: Any, why: str) -> list[str]:
    """Correct a recipient; returns the fields that changed.

    Raises:
        DeskError: its kind was to change, and decisions stand that were made for a recipient of the old kind.
        ValidationError: a value does not hold.
    """
    check(by, Verb.TAKE_REQUESTS)
    with transaction.atomic():
        current = Recipient.objects.select_for_update().get(pk=recipient.pk)
        if values.get("kind", current.kind) != current.kind:
            _refuse_where_decided(current)
        return change(current, values, editable=EDITABLE, by=by, why=why)


def _refuse_where_decided(recipient: Recipient) -> None:
    """A clause may ask what kind of recipient it is; so open requests are decided anew when that changes."""
    rows = RequestDecision.objects.filter(
        request__recipient=recipient, request__closed_at__isnull=True, withdrawn_at__isnull=True
    )
    numbers = sorted(set(rows.values_list("request__reference", flat=True)))
    if numbers:
        words = _(
            "Decisions stand for this kind of recipient, on %(numbers)s. Withdraw them, change the kind, then decide "
            "anew; or close the request that is over."
        )
        raise DeskError(words % {"numbers": ", ".join(numbers)})
