"""The composer: a question put together from conditions, its answer, and its files."""

from __future__ import annotations

from typing import Any

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.audit.asking import Question, UnknownValueError
from governance.audit.clocks import AsKnownError
from governance.audit.composer.running import ComposedError, question_of
from governance.audit.forms.asking import AskForm
from governance.audit.forms.composing import ComposeForm
from governance.audit.queries.asking import KNOWN, answered
from governance.audit.views.asking import asked_with, shown
from governance.audit.writing.files import CONTENT_TYPES, answer_file


@require_GET
@requires(Verb.READ)
def compose(request: HttpRequest) -> HttpResponse:
    """The form, and the answer once the question is put."""
    form = ComposeForm(request.GET)
    question = question_of(form.composed.tidy())
    clocks = AskForm(question, request.GET, request.user)
    context: dict[str, Any] = {
        "form": form, "clocks": clocks, "question": question, "asked_with": asked_with(request.GET),
    }  # fmt: skip
    if form.is_put and clocks.is_valid():
        context |= _answer(request, form, clocks)
    status = max(form.status, clocks.status if form.is_put else 200)
    return render(request, "audit/compose.html", context, status=status)


def _answer(request: HttpRequest, form: ComposeForm, clocks: AskForm) -> dict[str, Any]:
    """What is shown of the answer; nothing where it cannot be given, which the forms then say."""
    try:
        return shown(request, question_of(form.composed), clocks)
    except UnknownValueError as error:
        cause = error if isinstance(error, ComposedError) else error.__cause__
        if not isinstance(cause, ComposedError):
            raise
        form.refuse(cause)
    except AsKnownError as error:
        clocks.add_error(KNOWN, str(error))
    return {}


@require_GET
@requires(Verb.EXPORT)
def compose_csv(request: HttpRequest) -> HttpResponseBase:
    """All rows as CSV."""
    return _file(request, "csv")


@require_GET
@requires(Verb.EXPORT)
def compose_xlsx(request: HttpRequest) -> HttpResponseBase:
    """All rows as a workbook."""
    return _file(request, "xlsx")


def _file(request: HttpRequest, kind: str) -> HttpResponseBase:
    """The file; what cannot be answered goes to the page, which says why."""
    form = ComposeForm(request.GET)
    question: Question = question_of(form.composed.tidy())
    clocks = AskForm(question, request.GET, request.user)
    page = f"{reverse('audit:compose')}?{request.GET.urlencode()}"
    if form.is_draft or not clocks.is_valid():
        return redirect(page)
    sort = request.GET.get("sort", "")
    try:
        file = answered(question, clocks.asked, lambda found: answer_file(found, kind, sort)).read
    except (UnknownValueError, AsKnownError):
        return redirect(page)
    name = f"composed-{timezone.localdate():%Y-%m-%d}.{kind}"
    return FileResponse(file, as_attachment=True, filename=name, content_type=CONTENT_TYPES[kind])
