"""Disposing of a paper after its day, and what was disposed of."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.audit.actions.disposing import dispose
from governance.audit.actions.errors import AuditError
from governance.audit.forms.keeping import DisposeForm
from governance.audit.queries.disposing import HEADERS, disposals, disposals_file, going, minimisations
from governance.audit.queries.keeping import State, asked_paper, kept_paper
from governance.papers.restriction import check_readable


@require_http_methods(["GET", "POST"])
@requires(Verb.DISPOSE)
def dispose_paper(request: HttpRequest) -> HttpResponse:
    """Names what goes and what stays; disposes of it with a reason."""
    paper, today = asked_paper(request.GET.get("paper", "")), timezone.localdate()
    if paper is None:
        messages.warning(request, _("Choose the paper in this list."))
        return redirect("audit:keeping")
    check_readable(paper, request.user)
    found, kept = going(paper), kept_paper(paper, today)
    form = DisposeForm(posted(request), initial={"seen": found.seen})
    if form.is_valid():
        told = form.cleaned_data
        try:
            dispose(paper=paper, why=told["why"], seen=told["seen"], by=person_of(request), today=today)
        except AuditError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("%(paper)s is disposed of; the record of it stays.")
                             % {"paper": paper.reference})  # fmt: skip
            return redirect("audit:disposals")
    context = {"form": form, "paper": paper, "kept": kept, "found": found, "may_go": kept.state is State.MAY_GO}
    return render(request, "audit/keeping_dispose.html", context, status=form.status)


@require_GET
@requires(Verb.READ)
def disposal_list(request: HttpRequest) -> HttpResponse:
    """What was disposed of, and whose data were taken out."""
    context = paged(request, disposals()) | {"minimised": minimisations()}
    return render(request, "audit/keeping_disposals.html", context)


@require_GET
@requires(Verb.DISPOSE)
def disposals_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The same as CSV, a row a file: for those who dispose, since names of files tell of papers."""
    return csv_answer("disposals.csv", HEADERS, disposals_file(request.user))
