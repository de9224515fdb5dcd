"""The scans of a paper, and which pages of a scan are which paper."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.papers.actions import scans as actions
from governance.papers.forms.scans import RangesSheet
from governance.papers.models import Paper, PaperScan
from governance.papers.queries.paper_scans import opens_to, paper_choices, ranges_of
from governance.papers.restriction import for_readers
from governance.scans.forms.filing import TakeOffForm
from governance.scans.models import Scan
from governance.scans.queries.visible import check_open
from governance.scans.views.filing import drop_answer, drop_form, refused_drop


@require_http_methods(["GET", "POST"])
@requires(Verb.ATTACH_SCANS)
@for_readers
def paper_scans(request: HttpRequest, pk: int) -> HttpResponse:
    """Files dropped on a paper."""
    paper = get_object_or_404(Paper, pk=pk)
    if request.method == "GET":
        return render(request, "scans/file_on.html", {"place": paper, "page": "papers:paper"})
    form = drop_form(request)
    if not form.is_valid():
        return refused_drop(request, form, paper, "papers:paper")
    told = form.cleaned_data
    filed = actions.file_drop(paper=paper, drop=told["drop"], why=told["why"], by=person_of(request))
    return drop_answer(request, filed, paper, "papers:paper")


@require_http_methods(["GET", "POST"])
@requires(Verb.ATTACH_SCANS)
def paper_scan_take_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a scan off a paper, for a reason."""
    filed = get_object_or_404(PaperScan.objects.select_related("paper", "scan"), pk=pk)
    check_open(request.user, filed.scan)
    form = TakeOffForm(posted(request))
    if form.is_valid():
        actions.take_off(filed=filed, by=person_of(request), why=form.cleaned_data["why"])
        told = {"name": filed.name, "paper": filed.paper}
        messages.success(request, _("%(name)s was taken off %(paper)s; the file itself stays.") % told)
        return redirect("papers:paper", filed.paper_id)
    context = {"form": form, "filed": filed, "opens_to": opens_to(filed)}
    return render(request, "papers/paper_scan_take_off.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.ATTACH_SCANS)
def scan_ranges(request: HttpRequest, pk: int) -> HttpResponse:
    """Say of all pages of a scan which paper they are, all at once."""
    scan = get_object_or_404(Scan, pk=pk)
    check_open(request.user, scan)
    found = ranges_of(scan)
    sheet = RangesSheet(posted(request), scan, found.standing)
    if sheet.is_new_paper and sheet.new.is_valid():
        return redirect(f"{reverse('papers:paper-new')}?scan={scan.pk}&pages={sheet.new.cleaned_data['pages']}")
    if sheet.is_valid() and _set(request, scan, sheet):
        return redirect("papers:scan-ranges", pk)
    context = {
        "scan": scan, "found": found, "papers": paper_choices(scan),
        "rows": sheet.rows, "form": sheet.form, "new": sheet.new, "is_wrong": sheet.is_wrong,
    }  # fmt: skip
    return render(request, "papers/scan_ranges.html", context, status=422 if sheet.is_wrong else 200)


def _set(request: HttpRequest, scan: Scan, sheet: RangesSheet) -> bool:
    told = sheet.form.cleaned_data
    try:
        done = actions.set_ranges(
            scan=scan, ranges=sheet.rows.ranges, may_overlap=told["may_overlap"], seen=told["seen"],
            by=person_of(request), why=told["why"] or _("pages assigned"),
        )  # fmt: skip
    except actions.RangesRefused as refused:
        sheet.rows.refuse(refused.problems)
        return False
    except actions.RangesChanged as changed:
        sheet.somebody_was_quicker(str(changed), ranges_of(scan).standing)
        return False
    words = _("The pages are saved: %(added)d added, %(ended)d taken off.")
    messages.success(request, words % {"added": done.added, "ended": done.ended})
    return True
