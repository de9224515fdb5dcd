"""Reports sent, with proof: the duty that a report answers is done by that, and no longer when the entry is voided."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import add
from accessions.people.history import record
from governance.reports.actions.answering import fulfil, unmeet
from governance.reports.actions.errors import ReportError
from governance.reports.actions.issuing import held_issued
from governance.reports.models import Report, ReportSending
from governance.reports.queries.offered import can_answer
from governance.usedesk.actions.letters import received

EDITABLE: Final = ("sent_on", "to_whom", "how", "proof")


def send(*, report: Report, values: Mapping[str, Any], proof_file: Any = None, by: Any, why: str = "") -> ReportSending:
    """Record that an issued report was sent; the duty that it answers is done by it, where it is still open.
    A duty that a report of its kind and subject cannot answer is left alone, whoever chose it once.

    Raises:
        ReportError: it is a draft, or withdrawn; or the duty refuses.
        ValidationError: a value does not hold, or the file was refused.
    """
    check(by, Verb.ISSUE_REPORTS)
    why = why or gettext_noop("sent")
    scan = received(proof_file, field="proof_file", by=by, why=why)
    with transaction.atomic():
        current = held_issued(report, by=by)
        if current.withdrawn_at is not None:
            raise ReportError(_("%(number)s is withdrawn and is not sent any more.") % {"number": current.reference})
        _check_day(current, values.get("sent_on"))
        duty = current.duty if current.duty is not None and can_answer(current.duty, current) else None
        made = ReportSending(report=current, scan=scan, duty=duty, recorded_by=by,
                             **{name: values[name] for name in EDITABLE if name in values})  # fmt: skip
        add(made, by=by, why=why)
        fulfil(made, by=by)
    return made


def _check_day(report: Report, day: date | None) -> None:
    if day is None or report.issued_at is None:
        return
    if day > timezone.localdate():
        raise ValidationError({"sent_on": _("The day lies ahead. Record it when the report was sent.")})
    issued_on = timezone.localtime(report.issued_at).date()
    if day < issued_on:
        words = _("It was issued on %(day)s and cannot have been sent before.")
        raise ValidationError({"sent_on": words % {"day": date_format(issued_on, "j F Y")}})


def void(*, sending: ReportSending, by: Any, why: str) -> ReportSending:
    """Take back that a report was sent: the entry stays to be read. The duty is open again, unless another entry still
    shows that it was done, or somebody recorded it otherwise since.

    Raises:
        ReportError: it is voided already; or the duty refuses, since it is accepted.
    """
    check(by, Verb.ISSUE_REPORTS)
    if not why.strip():
        raise ReportError(_("Say why it is voided."))
    with transaction.atomic():
        held_issued(sending.report, by=by)
        current = ReportSending.objects.select_for_update().get(pk=sending.pk)
        if current.voided_at is not None:
            raise ReportError(_("That entry is voided already."))
        current.voided_at, current.voided_by, current.voided_why = timezone.now(), by, why.strip()[:200]
        record(current, by=by, why=why, fields=["voided_at", "voided_by", "voided_why"])
        unmeet(current, by=by, why=why)
    return current
