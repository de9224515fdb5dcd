"""Marks of scans: noted, withdrawn."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.scans.actions import marking
from governance.scans.forms.marking import MarkForm, WithdrawMarkForm
from governance.scans.models import Scan, ScanMark
from governance.scans.queries.one_scan import mark_words
from governance.scans.queries.visible import check_open


@require_http_methods(["GET", "POST"])
@requires(Verb.ATTACH_SCANS)
def scan_mark(request: HttpRequest, pk: int) -> HttpResponse:
    """Note that a scan is illegible, incomplete, a translation, superseded."""
    scan = get_object_or_404(Scan, pk=pk)
    check_open(request.user, scan)
    form = MarkForm(posted(request), scan=scan, person=request.user)
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        try:
            made = marking.mark(
                scan=scan, kind=told["kind"], other=told["other"], note=told["note"], by=person_of(request),
                why=told["note"] or _("marked"),
            )  # fmt: skip
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("Marked: %(mark)s.") % {"mark": mark_words(made, request.user)})
            return redirect("scans:scan", pk)
    return render(request, "scans/scan_mark.html", {"form": form, "scan": scan}, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.ATTACH_SCANS)
def mark_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a mark back; the history keeps it."""
    found = get_object_or_404(ScanMark.objects.select_related("scan", "other", "marked_by"), pk=pk)
    check_open(request.user, found.scan)
    form = WithdrawMarkForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            marking.withdraw_mark(mark=found, by=person_of(request), why=form.cleaned_data["why"])
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("The mark was withdrawn; the history keeps it."))
            return redirect("scans:scan", found.scan_id)
    context = {"form": form, "mark": found, "scan": found.scan}
    return render(request, "scans/scan_mark_withdraw.html", context, status=form.status)
