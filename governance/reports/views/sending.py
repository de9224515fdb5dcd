"""How a report was sent, and that it was not."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.reports.actions import sending as actions
from governance.reports.actions.errors import ReportError
from governance.reports.forms.issuing import ReasonForm
from governance.reports.forms.sending import SendingForm
from governance.reports.models import Report, ReportSending
from governance.reports.queries.offered import duty_words
from governance.reports.queries.one_report import found_report
from governance.reports.subjects import heading_of
from governance.reports.views.drafting import refuse


@require_http_methods(["GET", "POST"])
@requires(Verb.ISSUE_REPORTS)
def report_send(request: HttpRequest, pk: int) -> HttpResponse:
    """Record when, to whom and how a report was sent, with the proof."""
    found = found_report(pk, request.user)
    if found.issued_at is None or found.withdrawn_at is not None:
        messages.error(request, _("Only an issued report that stands is sent."))
        return redirect("reports:report", pk)
    today = timezone.localdate()
    form = SendingForm(
        posted(request), request.FILES or None, person=request.user, today=today,
        initial={"sent_on": today, "to_whom": _addressee(found)},
    )  # fmt: skip
    if form.is_valid():
        try:
            made = actions.send(report=found, values=form.values(), proof_file=form.cleaned_data.get("proof_file"),
                                by=person_of(request))  # fmt: skip
        except (ReportError, ValidationError) as problem:
            refuse(form, problem)
        else:
            said = _("It is recorded, and the duty that it answers is done.") if made.duty else _("It is recorded.")
            messages.success(request, said)
            return redirect("reports:report", pk)
    context = {
        "form": form, "found": found, "heading": heading_of(found),
        "duty_words": duty_words(found.duty) if found.duty else "",
    }  # fmt: skip
    return render(request, "reports/report_send.html", context, status=form.status)


def _addressee(found: Report) -> str:
    return ", ".join(line.strip() for line in found.addressee.splitlines() if line.strip())[:300]


@require_http_methods(["GET", "POST"])
@requires(Verb.ISSUE_REPORTS)
def sending_void(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back that a report was sent."""
    sending = get_object_or_404(ReportSending.objects.select_related("report__paper"), pk=pk)
    found = found_report(sending.report_id, request.user)
    if sending.voided_at is not None:
        messages.error(request, _("That entry is voided already."))
        return redirect("reports:report", found.pk)
    form = ReasonForm(posted(request))
    if form.is_valid():
        try:
            actions.void(sending=sending, by=person_of(request), why=form.cleaned_data["why"])
        except ReportError as problem:
            refuse(form, problem)
        else:
            messages.success(request, _("The entry is voided."))
            return redirect("reports:report", found.pk)
    context = {"form": form, "found": found, "heading": heading_of(found), "sending": sending}
    return render(request, "reports/sending_void.html", context, status=form.status)
