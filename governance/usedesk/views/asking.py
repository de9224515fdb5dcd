"""Questions to providers and their replies."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_safe

from accessions.people.access import Verb, person_of, requires
from accessions.people.changes import changes_of
from accessions.people.entry_forms import posted
from governance.papers.models import Paper
from governance.papers.restriction import check_readable, is_readable
from governance.usedesk.actions import asking as actions
from governance.usedesk.forms.asking import AskForm, ReplyForm
from governance.usedesk.forms.requests import ReasonForm
from governance.usedesk.letters import LANGUAGES, letter, letter_language
from governance.usedesk.models import ProviderQuestion, UseRequest
from governance.usedesk.queries.answering import desk_answer
from governance.usedesk.queries.asking import clauses_on, earlier_questions, numbers_of, rests_on_paper, to_ask
from governance.usedesk.queries.rules import desk_rules
from governance.usedesk.views.requests import done


@require_http_methods(["GET", "POST"])
@requires(Verb.TAKE_REQUESTS)
def request_ask(request: HttpRequest, pk: int, paper: int) -> HttpResponse:
    """Record that the provider behind a paper was asked."""
    found = get_object_or_404(UseRequest.objects.select_related("recipient"), pk=pk)
    about = get_object_or_404(Paper, pk=paper)
    check_readable(about, request.user)
    wanted = to_ask(desk_answer(found), about)
    if wanted is None:
        words = _("%(paper)s does not bear on any specimen of the request.")
        messages.error(request, words % {"paper": about.reference})
        return redirect("usedesk:request", pk)
    initial = {
        "uses": sum(1 << use for use in wanted.uses), "asked_of": wanted.whom, "asked_on": timezone.localdate(),
    }  # fmt: skip
    form = AskForm(posted(request), request.FILES or None, request=found, person=request.user, initial=initial)
    made: list[ProviderQuestion] = []
    if form.is_valid() and done(form, lambda: made.append(_asked(request, form, found, about))):
        said = _("%(whom)s was asked. The draft of a letter can be taken from here.")
        messages.success(request, said % {"whom": made[0].asked_of})
        return redirect("usedesk:question", made[0].pk)
    context = {
        "form": form, "found": found, "paper": about, "wanted": wanted, "earlier": earlier_questions(found, about),
    }  # fmt: skip
    return render(request, "usedesk/request_ask.html", context, status=form.status)


def _asked(request: HttpRequest, form: AskForm, found: UseRequest, about: Paper) -> ProviderQuestion:
    told = form.cleaned_data
    return actions.ask(
        request=found, paper=about, uses=told["uses"], asked_of=told["asked_of"], asked_on=told["asked_on"],
        letter=told.get("letter"), by=person_of(request),
    )  # fmt: skip


@require_safe
@requires(Verb.READ)
def question(request: HttpRequest, pk: int) -> HttpResponse:
    """One question: what was asked, of whom, what was replied."""
    found = _question(pk)
    readable = is_readable(found.paper, request.user)
    context: dict[str, Any] = {"question": found, "found": found.request, "is_readable": readable}
    if readable:
        context |= {
            "clauses": clauses_on(found), "changes": changes_of(ProviderQuestion, id=pk),
            "rests": rests_on_paper(found.request, found.paper),
        }  # fmt: skip
    return render(request, "usedesk/question.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
def question_reply(request: HttpRequest, pk: int) -> HttpResponse:
    """Record the reply, or correct it."""
    found = _question(pk)
    check_readable(found.paper, request.user)
    initial = {"reply": found.reply, "replied_on": found.replied_on or timezone.localdate(),
               "reply_words": found.reply_words}  # fmt: skip
    form = ReplyForm(posted(request), request.FILES or None, question=found, person=request.user, initial=initial)
    if form.is_valid() and done(form, lambda: actions.record_reply(
        question=found, values=form.values(), letter=form.cleaned_data.get("letter"), by=person_of(request),
        why=form.cleaned_data["why"],
    )):  # fmt: skip
        messages.success(request, _("The reply is recorded; the answers are worked out with it from now on."))
        return redirect("usedesk:question", pk)
    context = {"form": form, "question": found, "found": found.request}
    return render(request, "usedesk/question_reply.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.TAKE_REQUESTS)
def question_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """A question that was never sent, or entered twice, goes."""
    found, form = _question(pk), ReasonForm(posted(request))
    check_readable(found.paper, request.user)
    if form.is_valid() and done(form, lambda: actions.take_question_back(
        question=found, by=person_of(request), why=form.cleaned_data["why"])
    ):  # fmt: skip
        messages.success(request, _("The question is gone; its history stays."))
        return redirect("usedesk:request", found.request_id)
    context = {"form": form, "question": found, "found": found.request}
    return render(request, "usedesk/question_remove.html", context, status=form.status)


@require_GET
@requires(Verb.EXPORT)
def question_letter(request: HttpRequest, pk: int) -> HttpResponse:
    """The draft of the letter on a page to print; with ``?as=text`` as a file to write on in."""
    found = _question(pk)
    check_readable(found.paper, request.user)
    wanted = to_ask(desk_answer(found.request), found.paper)
    ids = wanted.ids if wanted else ()
    code = letter_language(request.GET.get("in") or found.paper.language)
    text = letter(
        found, clauses=clauses_on(found), numbers=numbers_of(ids), count=len(ids), house=desk_rules(),
        today=timezone.localdate(), code=code,
    )  # fmt: skip
    if request.GET.get("as") != "text":
        context = {
            "question": found,
            "found": found.request,
            "text": text,
            "code": code,
            "languages": LANGUAGES.items(),
        }
        return render(request, "usedesk/question_letter.html", context)
    answer = HttpResponse(text, content_type="text/plain; charset=utf-8")
    name = slugify(f"{found.request.reference} {found.paper.reference}") or "letter"
    answer["Content-Disposition"] = f'attachment; filename="draft-{name}.txt"'
    return answer


def _question(pk: int) -> ProviderQuestion:
    rows = ProviderQuestion.objects.select_related("request__recipient", "paper", "recorded_by", "letter", "reply_scan")
    return get_object_or_404(rows, pk=pk)
