"""The duty that a report answers: done by a sending that stands, open again when that is taken back."""

from __future__ import annotations

from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from governance.duties.actions import doing
from governance.duties.actions.errors import DutyError
from governance.duties.models import Duty
from governance.duties.queries.nil_returns import taken_in_its_time
from governance.duties.queries.one_duty import NIL_KINDS
from governance.reports.actions.errors import ReportError
from governance.reports.models import Report, ReportSending


def fulfil(sending: ReportSending, *, by: Any) -> None:
    """The duty of an entry is done by it, where it is still open: as a nil return only if by what is known today, too,
    nothing was taken.

    Raises:
        ReportError: the duty refuses.
    """
    duty = sending.duty and Duty.objects.select_for_update().get(pk=sending.duty.pk)
    if duty is None or duty.done_on is not None or duty.waived_on is not None:
        return
    try:
        doing.mark_done(
            duty=duty, on=sending.sent_on, how=done_words(sending), scan=sending.scan, by=by,
            why=gettext_noop("report sent"),
            is_nil=duty.kind in NIL_KINDS and is_nil(sending.report) and not taken_in_its_time(duty),
        )  # fmt: skip
    except DutyError as problem:
        raise ReportError(str(problem)) from problem


def done_words(sending: ReportSending) -> str:
    """How the duty was done, as it says itself; by these words the entry is known again when it is taken back:
    in English, whoever enters it and whoever takes it back."""
    told = {"number": sending.report.reference, "whom": sending.to_whom, "how": sending.how, "proof": sending.proof}
    return gettext_noop("Report %(number)s sent to %(whom)s by %(how)s. %(proof)s") % told


def is_nil(report: Report) -> bool:
    """Whether a report says itself that nothing was taken. Empty rows do not: what was taken may not be known."""
    facts = (report.contents or {}).get("facts", ())
    return any(fact["key"] == "nil_return" and fact["value"] == "nil" for fact in facts)


def unmeet(sending: ReportSending, *, by: Any, why: str) -> None:
    """The duty that an entry did is open again, unless another entry that stands still shows that it was done, or
    somebody recorded it otherwise since. The entry, or its report, is voided or withdrawn already.

    Raises:
        ReportError: the duty refuses, since it is accepted.
    """
    duty = sending.duty and Duty.objects.select_for_update().get(pk=sending.duty.pk)
    if duty is None or duty.done_on != sending.sent_on or duty.done_how != done_words(sending):
        return
    if duty.accepted_on is not None:
        raise ReportError(_("The duty that it answers is accepted, on %(day)s. Take that back first.")
                          % {"day": date_format(duty.accepted_on, "j F Y")})  # fmt: skip
    try:
        doing.take_back(duty=duty, by=by, why=why)
    except DutyError as problem:
        raise ReportError(str(problem)) from problem
    others = ReportSending.objects.filter(duty=duty, voided_at__isnull=True, report__withdrawn_at__isnull=True)
    if (other := others.select_related("report", "duty", "scan").order_by("sent_on", "pk").first()) is not None:
        fulfil(other, by=by)
