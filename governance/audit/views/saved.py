"""Saved questions: the list, one of them, saved, changed, removed, put back, followed, asked again."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.humanize.templatetags.humanize import intcomma
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from accessions.people.access import Verb, person_of, requires
from accessions.people.changes import changes_of
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.audit import questions
from governance.audit.actions import asking_again, following, saving
from governance.audit.actions.errors import AuditError
from governance.audit.composer.conditions import from_address, to_object
from governance.audit.composer.running import question_of as composed_question
from governance.audit.forms.saving import FollowForm, SaveForm
from governance.audit.models import AnswerTaken, SavedQuestion
from governance.audit.queries.asking import CLOCKS, written
from governance.audit.queries.closed_later import closed_since
from governance.audit.queries.saved import answers_of, is_keeper, lines, removed, visible


@require_GET
@requires(Verb.READ)
def saved_list(request: HttpRequest) -> HttpResponse:
    """One's own questions and those that are shared, with what they were answered last for one's role."""
    now, user = timezone.now(), person_of(request)
    context = paged(request, visible(user).select_related("owner").order_by("title", "pk"))
    context |= {"lines": lines(context["page"].object_list, user, now), "removed": removed(user, now)[:10]}
    return render(request, "audit/saved.html", context)


@require_GET
@requires(Verb.READ)
def saved_one(request: HttpRequest, pk: int) -> HttpResponse:
    """One question: what it was answered, time after time, for the reader's role."""
    user, found = person_of(request), _visible(request, pk)
    (line,) = lines([found], user, timezone.now())
    context = paged(request, answers_of(found, user.role))
    follower = line.follower
    form = FollowForm(initial={
        "is_on_today": bool(follower and follower.is_on_today), "is_mailed": bool(follower and follower.is_mailed),
    })  # fmt: skip
    context |= {"line": line, "saved": found, "form": form, "is_keeper": is_keeper(found, user),
                "changes": changes_of(SavedQuestion, id=pk), "closed_at": closed_since(user)}  # fmt: skip
    return render(request, "audit/saved_one.html", context)


def _visible(request: HttpRequest, pk: int) -> SavedQuestion:
    """The question, if the person sees it."""
    return get_object_or_404(visible(person_of(request)).select_related("owner"), pk=pk)


def _kept_by(request: HttpRequest, pk: int) -> SavedQuestion:
    """The question, if the person may change it; others do not find the page."""
    found = _visible(request, pk)
    if not is_keeper(found, request.user):
        raise Http404(pk)
    return found


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_QUESTIONS)
def saved_new(request: HttpRequest) -> HttpResponse:
    """Save the question that the address holds."""
    user, asked = person_of(request), _asked(request)
    question = (
        questions.QUESTION[asked["ready"]] if asked["ready"] else composed_question(from_address(request.GET).tidy())
    )
    form = SaveForm(posted(request), initial={"title": str(question.title)[:200]}, has_address=bool(user.email),
                    instance=SavedQuestion(owner=user))  # fmt: skip
    if form.is_valid():
        told = form.cleaned_data
        try:
            saved = saving.save_question(
                values=form.values(), **asked, by=user, follows=told["follows"], is_mailed=told["is_mailed"]
            )
        except ValidationError as error:
            form.refuse(error)
        else:
            taken = asking_again.ask_again(saved=saved, by=user)
            messages.success(request, _("“%(title)s” is saved.") % {"title": saved.title} + " " + _told(taken))
            return redirect("audit:saved-one", saved.pk)
    context = {"form": form, "question": question, "back": request.GET.urlencode(), "ready": asked["ready"]}
    return render(request, "audit/saved_form.html", context, status=form.status)


def _asked(request: HttpRequest) -> dict[str, Any]:
    """From the address: a ready question with its parameters, or conditions; both with the clocks.

    Raises:
        Http404: there is no such ready question.
    """
    ready = request.GET.get("ready", "")
    if ready:
        if ready not in questions.QUESTION:
            raise Http404(ready)
        return {"ready": ready, "asked": written(questions.QUESTION[ready], request.GET), "composed": {}}
    composed = from_address(request.GET).tidy()
    clocks = {name: request.GET.get(name, "").strip() for name in CLOCKS}
    return {"ready": "", "asked": clocks, "composed": to_object(composed)}


def _told(taken: AnswerTaken) -> str:
    if taken.problem:
        return _("It could not be answered: %(why)s") % {"why": taken.problem}
    return ngettext("The number is %(n)s.", "The number is %(n)s.", taken.count) % {"n": intcomma(taken.count)}


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_QUESTIONS)
def saved_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change title, sharing and schedule."""
    found = _kept_by(request, pk)
    form = SaveForm(posted(request), instance=_kept_by(request, pk))
    if form.is_valid():
        try:
            changed = saving.change_question(saved=found, values=form.values(), by=person_of(request), why=form.why)
        except ValidationError as error:
            form.refuse(error)
        except AuditError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("Saved.") if changed else _("Nothing was changed."))
            return redirect("audit:saved-one", pk)
    return render(request, "audit/saved_form.html", {"form": form, "saved": found}, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_QUESTIONS)
def saved_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask once more, then remove it."""
    found = _kept_by(request, pk)
    if request.method == "GET":
        return render(request, "audit/saved_remove.html", {"saved": found, "followers": found.followers.count()})
    try:
        saving.remove_question(saved=found, by=person_of(request))
    except AuditError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, _("“%(title)s” was removed. It can be put back below.") % {"title": found.title})
    return redirect("audit:saved")


@require_POST
@requires(Verb.KEEP_QUESTIONS)
def saved_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put back what was removed."""
    found = get_object_or_404(removed(person_of(request), timezone.now()), pk=pk)
    try:
        saving.put_back(saved=found, by=person_of(request))
    except AuditError as error:
        messages.error(request, str(error))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, _("“%(title)s” is back.") % {"title": found.title})
        return redirect("audit:saved-one", pk)
    return redirect("audit:saved")


@require_POST
@requires(Verb.KEEP_QUESTIONS)
def saved_follow(request: HttpRequest, pk: int) -> HttpResponse:
    """Set how one follows it."""
    found, form = _visible(request, pk), FollowForm(request.POST)
    form.is_valid()
    try:
        changed = following.follow(saved=found, **form.cleaned_data, by=person_of(request))
    except AuditError as error:
        messages.error(request, str(error))
        return redirect("audit:saved")
    messages.success(request, _("Saved.") if changed else _("Nothing was changed."))
    return redirect("audit:saved-one", pk)


@require_POST
@requires(Verb.KEEP_QUESTIONS)
def saved_ask(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask it again now."""
    user, found = person_of(request), _visible(request, pk)
    is_first = not answers_of(found, user.role).exists()
    taken = asking_again.ask_again(saved=found, by=user)
    if taken.problem or is_first:
        messages.add_message(request, messages.WARNING if taken.problem else messages.SUCCESS, _told(taken))
    else:
        said = _("The answer changed.") if taken.changed else _("The answer did not change.")
        messages.success(request, f"{said} {_told(taken)}")
    return redirect("audit:saved-one", pk)
