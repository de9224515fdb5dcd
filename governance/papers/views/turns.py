"""Turns in the life of a paper, and what was entered by mistake taken off again."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.intake.problems import FileProblems
from accessions.people.access import Verb, requires
from governance.papers import actions
from governance.papers.actions import ChangedMeanwhileError
from governance.papers.forms.face import StatusForm
from governance.papers.forms.rows import is_back
from governance.papers.forms.sheet import ReasonForm
from governance.papers.models import Paper, PaperStatus, PaperVersion
from governance.papers.queries.exchange_objects import exchange_object, stamp
from governance.papers.restriction import for_readers
from governance.papers.views.answers import status_of


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
@for_readers
def paper_status(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that a paper was granted, suspended, revoked."""
    paper = get_object_or_404(Paper, pk=pk)
    seen = stamp(exchange_object(paper, with_links=False))
    form = StatusForm(
        request.POST if request.method == "POST" else None, kind=paper.kind,
        initial={"seen": seen, "state": "suspended"},
    )  # fmt: skip
    if request.method == "POST" and not is_back(request) and form.is_valid():
        why = form.cleaned_data["why"] or _("status recorded")
        try:
            actions.add_status(
                paper=paper, data=form.object(), by=request.user, why=why, seen=form.cleaned_data["seen"]
            )
        except FileProblems as problems:
            for problem in problems.problems:
                form.add_error(None, f"{problem.found[:1].upper()}{problem.found[1:]}. {problem.expected}")
        except ChangedMeanwhileError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The status of %(paper)s was recorded.") % {"paper": paper})
            return redirect("papers:paper", pk)
    return render(request, "papers/paper_status.html", {"form": form, "paper": paper}, status=status_of(form))


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
@for_readers
def status_remove(request: HttpRequest, pk: int, turn_pk: int) -> HttpResponse:
    """Take off a turn that did not happen."""
    turn = get_object_or_404(PaperStatus.objects.select_related("paper"), pk=turn_pk, paper=pk)
    form = ReasonForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and not is_back(request) and form.is_valid():
        actions.remove_status(turn=turn, by=request.user, why=form.cleaned_data["why"])
        messages.success(request, _("The entry was taken off; the history keeps it."))
        return redirect("papers:paper", pk)
    what = f"{turn.get_state_display()}, {turn.from_on:%Y-%m-%d}"
    context = {"form": form, "paper": turn.paper, "turn": turn, "what": what}
    return render(request, "papers/take_off.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
@for_readers
def version_remove(request: HttpRequest, pk: int, version_pk: int) -> HttpResponse:
    """Take off a version that was entered by mistake."""
    version = get_object_or_404(PaperVersion.objects.select_related("paper"), pk=version_pk, paper=pk)
    form = ReasonForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and not is_back(request) and form.is_valid():
        actions.remove_version(
            paper=version.paper, start=version.in_force_from, by=request.user, why=form.cleaned_data["why"]
        )
        messages.success(request, _("The version was taken off; the history keeps it."))
        return redirect("papers:paper", pk)
    what = _("the version from %(day)s") % {"day": version.in_force_from or _("an unknown day")}
    context = {"form": form, "paper": version.paper, "version": version, "what": what, "is_version": True}
    return render(request, "papers/take_off.html", context, status=status_of(form))
