"""Continuations of a paper under another number."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.papers.actions.continuing import change_continuation, record_continuation, remove_continuation
from governance.papers.forms.continuing import ContinuationForm, ProofForm
from governance.papers.forms.sheet import ReasonForm
from governance.papers.models import Paper, PaperContinuation
from governance.papers.queries.continuations import continuations_of
from governance.papers.restriction import check_readable
from governance.papers.views.answers import status_of


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
def paper_continuation(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that a paper continues another, or is continued by it."""
    paper = get_object_or_404(Paper, pk=pk)
    check_readable(paper, request.user)
    form = ContinuationForm(posted(request), paper=paper)
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        try:
            record_continuation(
                **form.ends, proof=told["proof"], evidence=told["evidence"], by=request.user,
                why=told["why"] or _("continuation recorded"),
            )  # fmt: skip
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("The continuation is recorded. It fills no day, so no verdict changes."))
            return redirect("papers:paper", pk)
    context = {"form": form, "paper": paper, "known": continuations_of(paper, timezone.localdate())}
    return render(request, "papers/paper_continuation.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
def continuation_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Record what is known by now of the proof."""
    row = _readable(request, pk)
    form = ProofForm(posted(request), initial={"proof": row.proof, "evidence": row.evidence})
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        change_continuation(
            continuation=row, proof=told["proof"], evidence=told["evidence"], by=request.user,
            why=told["why"] or _("proof of a continuation"),
        )  # fmt: skip
        messages.success(request, _("The proof is recorded. No verdict changes."))
        return redirect("papers:paper", row.earlier_id)
    context = {"form": form, "paper": row.earlier, "row": row}
    return render(request, "papers/continuation_edit.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
def continuation_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take off a continuation that was recorded by mistake."""
    row = _readable(request, pk)
    form = ReasonForm(posted(request))
    if request.method == "POST" and form.is_valid():
        remove_continuation(continuation=row, by=request.user, why=form.cleaned_data["why"])
        messages.success(request, _("The continuation was taken off; the history keeps it."))
        return redirect("papers:paper", row.earlier_id)
    context = {"form": form, "paper": row.earlier, "row": row}
    return render(request, "papers/continuation_remove.html", context, status=status_of(form))


def _readable(request: HttpRequest, pk: int) -> PaperContinuation:
    row = get_object_or_404(PaperContinuation.objects.select_related("earlier", "later"), pk=pk)
    for paper in (row.earlier, row.later):
        check_readable(paper, request.user)
    return row
