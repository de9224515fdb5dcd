"""A report issued, and withdrawn."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.reports.actions.errors import ReportChangedError, ReportError
from governance.reports.actions.issuing import ask_to_issue, withdraw
from governance.reports.forms.issuing import IssueForm, ReasonForm
from governance.reports.models import Report
from governance.reports.queries.differences import Differences
from governance.reports.queries.one_report import found_report, standing
from governance.reports.queries.stored import stored, substance
from governance.reports.subjects import heading_of
from governance.reports.views.differing import shown_differences
from governance.reports.views.one_report import disclosed
from governance.reports.views.showing import kept_in_words


@require_http_methods(["GET", "POST"])
@requires(Verb.ISSUE_REPORTS)
def report_issue(request: HttpRequest, pk: int) -> HttpResponse:
    """Look at what it discloses and at what is open; then issue it, and it is frozen."""
    found = found_report(pk, request.user)
    if found.issued_at is not None or found.contents is None:
        return _cannot(request, found)
    form = IssueForm(posted(request), initial={"seen": substance(found)})
    if form.is_valid():
        try:
            is_done = ask_to_issue(report=found, by=person_of(request), seen=form.cleaned_data["seen"])
        except ReportChangedError as problem:
            messages.warning(request, str(problem))
            return redirect("reports:report-issue", pk)
        except ReportError as problem:
            messages.error(request, str(problem))
            return redirect("reports:report", pk)
        return _issued(request, found, is_done)
    context = {"found": found, "heading": heading_of(found), "form": form} | disclosed(found, stored(found))
    if found.changed:
        context["changed"] = shown_differences(Differences.from_json(found.changed))
    return render(request, "reports/report_issue.html", context, status=form.status)


def _cannot(request: HttpRequest, found: Report) -> HttpResponse:
    said = _("%(number)s is issued already.") if found.issued_at else _("%(number)s is not composed yet.")
    messages.error(request, said % {"number": found.reference})
    return redirect("reports:report", found.pk)


def _issued(request: HttpRequest, found: Report, is_done: bool) -> HttpResponse:
    if not is_done:
        messages.success(request, _("It is being composed once more, written to files and issued."))
        return redirect("reports:report-progress", found.pk)
    messages.success(request, _("%(number)s is issued. Record here how it was sent.") % {"number": found.reference})
    return redirect("reports:report", found.pk)


@require_http_methods(["GET", "POST"])
@requires(Verb.ISSUE_REPORTS)
def report_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Withdraw an issued report, for a reason."""
    found = found_report(pk, request.user)
    if found.issued_at is None or found.withdrawn_at is not None:
        said = _("%(number)s is withdrawn already.") if found.issued_at else _("%(number)s is a draft: discard it.")
        messages.error(request, said % {"number": found.reference})
        return redirect("reports:report", pk)
    form = ReasonForm(posted(request))
    if form.is_valid():
        try:
            withdraw(report=found, by=person_of(request), why=form.cleaned_data["why"])
        except ReportError as problem:
            form.add_error(None, kept_in_words(problem))
        else:
            messages.success(request, _("%(number)s is withdrawn.") % {"number": found.reference})
            return redirect("reports:report", pk)
    context = {"form": form, "found": found, "heading": heading_of(found), "standing": standing(found)}
    return render(request, "reports/report_withdraw.html", context, status=form.status)
