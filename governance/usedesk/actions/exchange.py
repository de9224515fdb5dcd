"""What was seen of the label of a scientific exchange, kept with its history."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import NotEditableError, add, change
from governance.scans.actions.receiving import Readable, receive
from governance.scans.models import Scan
from governance.usedesk.actions.locking import held
from governance.usedesk.models import ExchangeLabel, UseRequest

EDITABLE = (
    "non_commercial", "sender_code", "recipient_code", "preserved", "label_by_authority", "label_number",
    "legally_acquired", "evidence", "paper",
)  # fmt: skip


def keep_label(
    *, request: UseRequest, values: Mapping[str, Any], by: Any, why: str = "", file: tuple[Readable, str] | None = None
) -> ExchangeLabel:
    """Keep what was seen of the label of a request; a later look changes the same record.

    Args:
        values: of ``EDITABLE``.
        file: a scan of the label with its name, for who may add scans; it takes the place of the one before.

    Raises:
        NotAllowedError: the person may not take requests, or add no scans.
        DeskError: the request is closed.
        RefusedFile: the scan is not received.
        ValidationError: said to be legally acquired, without what shows it.
    """
    check(by, Verb.TAKE_REQUESTS)
    if unknown := set(values) - set(EDITABLE):
        raise NotEditableError(f"not editable here: {', '.join(sorted(unknown))}; editable: {', '.join(EDITABLE)}")
    scan = receive(data=file[0], name=file[1], by=by, why=why).scan if file else None
    with transaction.atomic():
        return _kept(request, values, scan, by, why)


def _kept(request: UseRequest, values: Mapping[str, Any], scan: Scan | None, by: Any, why: str) -> ExchangeLabel:
    """Two people at one label: the request is locked, so that the second finds the record of the first."""
    current = held(request, even_answered=True)
    written = dict(values) | ({"scan": scan} if scan else {})
    label = ExchangeLabel.objects.filter(request=current).first()
    if label is None:
        label = ExchangeLabel(request=current, **written)
        add(label, by=by, why=why or gettext_noop("label looked at"))
    else:
        change(label, written, editable=(*EDITABLE, "scan"), by=by, why=why or gettext_noop("label looked at again"))
    return label
