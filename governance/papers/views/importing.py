"""Papers taken from an exchange file: look first, then take."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.humanize.templatetags.humanize import intcomma
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from accessions.intake.problems import FileProblems
from accessions.people.access import Verb, requires
from governance.papers import actions
from governance.papers.actions import ImportOutcome
from governance.papers.forms.importing import AnswerForm, FileForm
from governance.papers.models import ReceivedFile
from governance.papers.views.answers import status_of

_SHOWN_FILES = 20


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
def papers_import(request: HttpRequest) -> HttpResponse:
    """Choose a file; a file with problems is refused with all of them."""
    form = FileForm(request.POST, request.FILES) if request.method == "POST" else FileForm()
    problems: tuple[object, ...] = ()
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            received = actions.receive_file(file.read(), file.name, by=request.user)
        except FileProblems as refused:
            problems = refused.problems
        else:
            return redirect("papers:papers-import-file", received.pk)
    files = ReceivedFile.objects.defer("data").select_related("received_by", "taken_by")[:_SHOWN_FILES]
    context = {"form": form, "problems": problems, "files": files}
    return render(request, "papers/import.html", context, status=422 if problems else status_of(form))


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
def papers_import_file(request: HttpRequest, pk: int) -> HttpResponse:
    """What the file would change; take it with the answers that it asks for."""
    received = get_object_or_404(ReceivedFile, pk=pk)
    plan = actions.preview_import(bytes(received.data), received.file_name, by=request.user)
    form = AnswerForm(request.POST if request.method == "POST" else None, plan=plan)
    if request.method == "POST" and form.is_valid():
        outcome = actions.take_file(
            received, by=request.user, why=form.cleaned_data["why"] or received.file_name,
            on_unknown="leave-out" if form.cleaned_data.get("leave_out") else "ask", answers=form.answers(),
        )  # fmt: skip
        if outcome.is_saved:
            messages.success(request, _said(outcome))
            return redirect("papers:papers")
        messages.error(request, _("The register changed while you looked. Nothing was saved; please answer again."))
        return redirect("papers:papers-import-file", pk)
    answered = [(paper, form[name]) for name, paper in zip(form.names, plan.changed, strict=True)]
    context = {"received": received, "plan": plan, "form": form, "answered": answered}
    return render(request, "papers/import_file.html", context, status=status_of(form))


def _said(outcome: ImportOutcome) -> str:
    added, taken, kept = len(outcome.added), len(outcome.taken), len(outcome.kept)
    parts = [ngettext("%(n)s paper was registered", "%(n)s papers were registered", added) % {"n": intcomma(added)}]
    if taken:
        parts.append(ngettext("%(n)s was changed", "%(n)s were changed", taken) % {"n": intcomma(taken)})
    if kept:
        parts.append(ngettext("%(n)s stays as it was", "%(n)s stay as they were", kept) % {"n": intcomma(kept)})
    return "; ".join(parts) + "."
