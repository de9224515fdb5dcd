"""A request taken down, corrected, answered, closed, taken up again."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.papers.countries import countries_known
from governance.usedesk.actions import requests as actions
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.forms.requests import ReasonForm, RequestForm, request_initial
from governance.usedesk.models import UseRequest
from governance.usedesk.queries.listing import next_reference
from governance.usedesk.queries.one_request import summary


@require_http_methods(["GET", "POST"])
@requires(Verb.TAKE_REQUESTS)
def request_new(request: HttpRequest) -> HttpResponse:
    """Take down a request; then its specimens."""
    today = timezone.localdate()
    form = RequestForm(
        posted(request), request.FILES or None, person=request.user,
        initial={"reference": next_reference(today), "asked_on": today},
    )  # fmt: skip
    if form.is_valid():
        try:
            made = actions.add_request(
                values=form.values(), new_recipient=form.new_recipient(), letter=form.cleaned_data.get("letter"),
                by=person_of(request),
            )  # fmt: skip
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("%(number)s is recorded. Now its specimens.") % {"number": made.reference})
            if selection := request.GET.get("selection"):  # begun for specimens that were chosen in their list
                return redirect(f"{reverse('usedesk:request-take', args=[made.pk])}?{selection}")
            return redirect("usedesk:request", made.pk)
    context = {"form": form, "countries": countries_known()}
    return render(request, "usedesk/request_form.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.TAKE_REQUESTS)
def request_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct what was taken down."""
    found = get_object_or_404(UseRequest.objects.select_related("recipient", "scan"), pk=pk)
    form = RequestForm(
        posted(request), request.FILES or None, person=request.user, request=found, initial=request_initial(found)
    )
    if form.is_valid() and (changed := _edited(request, form, found)) is not None:
        messages.success(request, _("Saved.") if changed else _("Nothing was changed."))
        return redirect("usedesk:request", pk)
    context = {
        "form": form, "found": get_object_or_404(UseRequest, pk=pk), "countries": countries_known(),
        "summary": summary(found),
    }  # fmt: skip
    return render(request, "usedesk/request_form.html", context, status=form.status)


def _edited(request: HttpRequest, form: RequestForm, found: UseRequest) -> list[str] | None:
    try:
        return actions.edit_request(
            request=found, values=form.values(), new_recipient=form.new_recipient(),
            letter=form.cleaned_data.get("letter"), by=person_of(request), why=form.cleaned_data["why"],
        )  # fmt: skip
    except (ValidationError, DeskError) as problem:
        refuse(form, problem)
    return None


@require_http_methods(["GET", "POST"])
@requires(Verb.TAKE_REQUESTS)
def request_close(request: HttpRequest, pk: int) -> HttpResponse:
    """Close an open request with a reason; take up a closed one again."""
    found = get_object_or_404(UseRequest.objects.select_related("closed_by"), pk=pk)
    form = ReasonForm(posted(request))
    act = actions.close_request if found.is_open else actions.reopen_request
    if form.is_valid() and done(form, lambda: act(request=found, by=person_of(request), why=form.cleaned_data["why"])):
        said = _("%(number)s is closed.") if found.is_open else _("%(number)s is open again.")
        messages.success(request, said % {"number": found.reference})
        return redirect("usedesk:request", pk)
    context = {"form": form, "found": found, "summary": summary(found)}
    return render(request, "usedesk/request_close.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.TAKE_REQUESTS)
def request_answer(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a request as answered; take that back with a reason."""
    found = get_object_or_404(UseRequest.objects.select_related("answered_by", "closed_by"), pk=pk)
    form = ReasonForm(posted(request))
    is_answered = found.answered_at is not None
    form.fields["why"].required = is_answered
    act = actions.take_answer_back if is_answered else actions.answer_request
    if form.is_valid() and done(form, lambda: act(request=found, by=person_of(request), why=form.cleaned_data["why"])):
        said = _("The answer is taken back.") if is_answered else _("%(number)s is marked as answered.")
        messages.success(request, said % {"number": found.reference})
        return redirect("usedesk:request", pk)
    context = {"form": form, "found": found, "summary": summary(found)}
    return render(request, "usedesk/request_answer.html", context, status=form.status)


def refuse(form: Any, problem: ValidationError | DeskError) -> None:
    """What an action refused, beside the field that it is about."""
    form.refuse(problem) if isinstance(problem, ValidationError) else form.add_error(None, str(problem))


def done(form: Any, act: Any) -> bool:
    """Whether the action went through; what it refused stands with the form."""
    try:
        act()
    except (ValidationError, DeskError) as problem:
        refuse(form, problem)
        return False
    return True
