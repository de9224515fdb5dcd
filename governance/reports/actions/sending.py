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

from accessions.people.access import Verb, check
from accessions.people.editing import add
from accessions.people.history import record
from governance.duties.actions import doing
from governance.duties.actions.errors import DutyError
from governance.duties.models import Duty
from governance.duties.queries.one_duty import NIL_KINDS
from governance.reports.actions.errors import ReportError
from governance.reports.actions.issuing import held_issued
from governance.reports.models import Report, ReportKind, ReportSending, ReportTable
from governance.usedesk.actions.letters import received

EDITABLE: Final = ("sent_on", "to_whom", "how", "proof")


def send(*, report: Report, values: Mapping[str, Any], proof_file: Any = None, by: Any, why: str = "") -> ReportSending:
    """Record that an issued report was sent; the duty that it answers is done by it, where it is still open.

    Raises:
        ReportError: it is a draft, or withdrawn; or the duty refuses.
        ValidationError: a value does not hold, or the file was refused.
    """
    check(by, Verb.ISSUE_REPORTS)
    why = why or _("sent")
    scan = received(proof_file, field="proof_file", by=by, why=why)
    with transaction.atomic():
        current = held_issued(report, by=by)
        if current.withdrawn_at is not None:
            raise ReportError(_("%(number)s is withdrawn and is not sent any more.") % {"number": current.reference})
        _check_day(current, values.get("sent_on"))
        made = ReportSending(report=current, scan=scan, duty=current.duty, recorded_by=by,
                             **{name: values[name] for name in EDITABLE if name in values})  # fmt: skip
        add(made, by=by, why=why)
        _fulfil(made, by=by)
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


def _fulfil(sending: ReportSending, *, by: Any) -> None:
    duty = sending.duty and Duty.objects.select_for_update().get(pk=sending.duty.pk)
    if duty is None or duty.done_on is not None or duty.waived_on is not None:
        return
    try:
        doing.mark_done(
            duty=duty, on=sending.sent_on, how=done_words(sending), scan=sending.scan, by=by, why=_("report sent"),
            is_nil=duty.kind in NIL_KINDS and _is_nil(sending.report),
        )  # fmt: skip
    except DutyError as problem:
        raise ReportError(str(problem)) from problem


def done_words(sending: ReportSending) -> str:
    """How the duty was done, as it says itself; by these words the entry is known again when it is voided."""
    told = {"number": sending.report.reference, "whom": sending.to_whom, "how": sending.how, "proof": sending.proof}
    return _("Report %(number)s sent to %(whom)s by %(how)s. %(proof)s") % told


def _is_nil(report: Report) -> bool:
    """A return without one row of what was taken is a nil return."""
    taken = ReportTable.objects.filter(report=report, batch="", key="taken")
    return report.kind == ReportKind.AGENCY and taken.exists() and not taken.filter(row_count__gt=0).exists()


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
        report = held_issued(sending.report, by=by)
        current = ReportSending.objects.select_for_update().get(pk=sending.pk)
        if current.voided_at is not None:
            raise ReportError(_("That entry is voided already."))
        current.voided_at, current.voided_by, current.voided_why = timezone.now(), by, why.strip()[:200]
        record(current, by=by, why=why, fields=["voided_at", "voided_by", "voided_why"])
        _take_back(current, report, by=by, why=why)
    return current


def _take_back(sending: ReportSending, report: Report, *, by: Any, why: str) -> None:
    duty = sending.duty and Duty.objects.select_for_update().get(pk=sending.duty.pk)
    if duty is None or duty.done_on != sending.sent_on or duty.done_how != done_words(sending):
        return
    if duty.accepted_on is not None:
        raise ReportError(_("The duty that it answers is accepted, on %(day)s. Take that back first.")
                          % {"day": date_format(duty.accepted_on, "j F Y")})  # fmt: skip
    try:
        doing.take_back(duty=duty, by=by, why=why)
        others = ReportSending.objects.filter(duty=duty, voided_at__isnull=True, report__withdrawn_at__isnull=True)
        if (other := others.select_related("report", "duty", "scan").order_by("sent_on", "pk").first()) is not None:
            _fulfil(other, by=by)
    except DutyError as problem:
        raise ReportError(str(problem)) from problem
