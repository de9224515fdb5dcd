"""The scans of a paper, and which pages of a scan are which paper."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.papers.actions import scans as actions
from governance.papers.forms.rows import without_errors
from governance.papers.forms.scans import NewPaperForm, RangeRows, RangesForm, rows_initial
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
    if "new_paper" in request.POST:
        return _new_paper(request, scan)
    found = ranges_of(scan)
    data = posted(request)
    rows = RangeRows(
        _with_more(data), prefix="ranges", initial=rows_initial(found.standing), page_count=scan.page_count
    )
    form = RangesForm(data, initial={"seen": " ".join(str(one.pk) for one in found.standing)})
    if data is not None and "more_ranges" in data:
        without_errors([*rows.forms, form])
    elif data is not None and all([rows.is_valid(), form.is_valid()]) and _set(request, scan, rows, form):
        return redirect("papers:scan-ranges", pk)
    return _ranges_page(request, scan, rows=rows, form=form)


def _with_more(data: Any) -> Any:
    """More rows, if the button for them was pressed."""
    if data is None or "more_ranges" not in data:
        return data
    more = data.copy()
    total = str(more.get("ranges-TOTAL_FORMS", "0"))
    more["ranges-TOTAL_FORMS"] = str((int(total) if total.isascii() and total.isdigit() and len(total) < 4 else 0) + 3)
    return more


def _set(request: HttpRequest, scan: Scan, rows: Any, form: RangesForm) -> bool:
    told = form.cleaned_data
    try:
        done = actions.set_ranges(
            scan=scan, ranges=rows.ranges, may_overlap=told["may_overlap"], seen=told["seen"],
            by=person_of(request), why=told["why"] or _("pages assigned"),
        )  # fmt: skip
    except actions.RangesRefused as refused:
        rows.refuse(refused.problems)
        return False
    except actions.RangesChanged as changed:
        form.add_error(None, str(changed))
        return False
    words = _("The pages are saved: %(added)d added, %(ended)d taken off.")
    messages.success(request, words % {"added": done.added, "ended": done.ended})
    return True


def _new_paper(request: HttpRequest, scan: Scan) -> HttpResponse:
    new = NewPaperForm(request.POST, page_count=scan.page_count or 0)
    if new.is_valid():
        return redirect(f"{reverse('papers:paper-new')}?scan={scan.pk}&pages={new.cleaned_data['pages']}")
    return _ranges_page(request, scan, new=new)


def _ranges_page(request: HttpRequest, scan: Scan, **forms: Any) -> HttpResponse:
    found = ranges_of(scan)
    seen = " ".join(str(one.pk) for one in found.standing)
    context = {
        "scan": scan, "found": found, "papers": paper_choices(scan),
        "rows": forms.get("rows")
        or RangeRows(prefix="ranges", initial=rows_initial(found.standing), page_count=scan.page_count),
        "form": forms.get("form") or RangesForm(initial={"seen": seen}),
        "new": forms.get("new") or NewPaperForm(page_count=scan.page_count or 0, prefix=None),
    }  # fmt: skip
    wrong = any(form.errors for form in [*context["rows"].forms, context["form"], context["new"]] if form.is_bound)
    return render(request, "papers/scan_ranges.html", context, status=422 if wrong else 200)
