"""Data quality: all questions with their numbers, and rows that are right as they are."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.audit.actions import quality as actions
from governance.audit.actions.errors import AuditError
from governance.audit.asking import Row
from governance.audit.forms.quality import WithdrawNoteForm, note_form
from governance.audit.models import QualityNote
from governance.audit.questions.quality import RULE
from governance.audit.questions.quality.overview import overview
from governance.audit.questions.quality.rule import NOTE_VERB, Rule, row_said


@require_GET
@requires(Verb.READ)
def quality(request: HttpRequest) -> HttpResponse:
    """All questions, what is worst first."""
    return render(request, "audit/quality.html", {"overview": overview(timezone.localdate())})


@require_POST
@requires(Verb.ASSESS)
def quality_count(request: HttpRequest) -> HttpResponse:
    """Have all questions counted again, in the background."""
    actions.ask_to_count(by=person_of(request))
    messages.success(request, _("The questions are being counted again; the numbers follow within some minutes."))
    return redirect("audit:quality")


@require_http_methods(["GET", "POST"])
@requires(NOTE_VERB)
def quality_note(request: HttpRequest, rule: str) -> HttpResponse:
    """Say of a row that it is right as it is."""
    asked, row = _rule(rule), request.GET.get("row", "")
    said = row_said(asked, timezone.localdate(), row, request.user)
    context: dict[str, Any] = {"question": asked, "back": _ask(rule)}
    if said is None:
        return render(request, "audit/quality_note.html", context)
    form = note_form(posted(request), said[1])
    if form.is_valid():
        told = form.cleaned_data
        try:
            actions.note_as_right(question=rule, row=row, digest=told["seen"], why=told["why"], by=person_of(request),
                         today=timezone.localdate())  # fmt: skip
        except AuditError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("Noted as right as it is. The row is left out until it says something else."))
            return redirect(_ask(rule))
    context |= {"form": form, "columns": asked.columns, "rows": [Row(row, said[0])]}
    return render(request, "audit/quality_note.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(NOTE_VERB)
def quality_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take such a note back."""
    note = get_object_or_404(QualityNote.objects.select_related("noted_by"), pk=pk)
    form = WithdrawNoteForm(posted(request))
    if form.is_valid():
        try:
            actions.take_note_back(
                of=note, why=form.cleaned_data["why"], by=person_of(request), today=timezone.localdate()
            )  # fmt: skip
        except AuditError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The note was taken back. Its row counts again."))
            return redirect(_ask(note.question))
    context = {"form": form, "note": note, "rule": RULE.get(note.question), "back": _ask(note.question)}
    return render(request, "audit/quality_withdraw.html", context, status=form.status)


def _rule(key: str) -> Rule:
    if key not in RULE:
        raise Http404(key)
    return RULE[key]


def _ask(question: str) -> str:
    return reverse("audit:ask", args=[question]) if question in RULE else reverse("audit:quality")
