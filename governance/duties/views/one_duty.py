"""One duty: its page, and each step that is taken or taken back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import Form, posted
from governance.duties.actions import doing
from governance.duties.actions.errors import DutyError
from governance.duties.forms.doing import AcceptForm, AssignForm, DoneForm, NoteForm, UndoForm, WaiveForm
from governance.duties.models import Duty
from governance.duties.queries.nil_returns import taken_in_its_time
from governance.duties.queries.one_duty import duty_of, duty_page
from governance.papers.restriction import check_readable


@require_safe
@requires(Verb.READ)
def duty(request: HttpRequest, pk: int) -> HttpResponse:
    """One duty: what, to whom, why on that day, what became of it."""
    today = timezone.localdate()
    page = duty_page(get_object_or_404(duty_of(pk)), request.user, today)
    return render(request, "duties/duty.html", {"page": page, "duty": page.duty, "line": page.line, "today": today})


def _duty(request: HttpRequest, pk: int) -> Duty:
    """The duty, for those who may read its paper.

    Raises:
        RestrictedPaperError: says who may.
    """
    found = get_object_or_404(duty_of(pk))
    if found.paper is not None:
        check_readable(found.paper, request.user)
    return found


def _done(form: Form, step: Callable[[], Any]) -> bool:
    """Whether the step was taken; a refusal stands on the form."""
    try:
        step()
    except DutyError as error:
        form.add_error(None, str(error))
    except ValidationError as error:
        form.refuse(error)
    return not form.errors


def _form_page(request: HttpRequest, form: Form, found: Duty, name: str, **more: Any) -> HttpResponse:
    context = {"form": form, "duty": found, "today": timezone.localdate(), **more}
    return render(request, f"duties/{name}.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def duty_done(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a duty as done, with the proof."""
    found = _duty(request, pk)
    form = DoneForm(posted(request), request.FILES or None, duty=found, person=request.user,
                    initial={"on": timezone.localdate()})  # fmt: skip
    if form.is_valid() and _done(form, lambda: doing.mark_done(
        duty=found, on=form.cleaned_data["on"], how=form.cleaned_data["how"],
        is_nil=form.cleaned_data.get("is_nil", False), letter=form.cleaned_data.get("letter"), by=person_of(request),
    )):  # fmt: skip
        messages.success(request, _("The duty is marked as done."))
        return redirect("duties:duty", pk)
    taken = taken_in_its_time(found) if "is_nil" in form.fields else 0
    return _form_page(request, form, found, "duty_done", taken=taken)


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def duty_accept(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that it was accepted."""
    found = _duty(request, pk)
    form = AcceptForm(posted(request), request.FILES or None, person=request.user, initial={"on": timezone.localdate()})
    if form.is_valid() and _done(form, lambda: doing.accept(
        duty=found, on=form.cleaned_data["on"], how=form.cleaned_data["how"], letter=form.cleaned_data.get("letter"),
        by=person_of(request),
    )):  # fmt: skip
        messages.success(request, _("It is recorded that it was accepted."))
        return redirect("duties:duty", pk)
    return _form_page(request, form, found, "duty_accept")


@require_http_methods(["GET", "POST"])
@requires(Verb.WAIVE_DUTIES)
def duty_waive(request: HttpRequest, pk: int) -> HttpResponse:
    """Waive a duty, or take the waiver back."""
    found = _duty(request, pk)
    if found.waived_on is not None:
        return _waiver_back(request, found)
    form = WaiveForm(posted(request), person=request.user, initial={"on": timezone.localdate()})
    if form.is_valid() and _done(form, lambda: doing.waive(
        duty=found, on=form.cleaned_data["on"], why=form.cleaned_data["how"], by=person_of(request))
    ):  # fmt: skip
        messages.success(request, _("The duty is waived."))
        return redirect("duties:duty", pk)
    return _form_page(request, form, found, "duty_waive")


def _waiver_back(request: HttpRequest, found: Duty) -> HttpResponse:
    form = UndoForm(posted(request))
    if form.is_valid() and _done(form, lambda: doing.take_waiver_back(
        duty=found, by=person_of(request), why=form.cleaned_data["why"])
    ):  # fmt: skip
        messages.success(request, _("The waiver was taken back; the duty is to be done."))
        return redirect("duties:duty", found.pk)
    return _form_page(request, form, found, "duty_undo")


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def duty_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back that it was accepted, or done."""
    found, form = _duty(request, pk), UndoForm(posted(request))
    if form.is_valid() and _done(form, lambda: doing.take_back(
        duty=found, by=person_of(request), why=form.cleaned_data["why"])
    ):  # fmt: skip
        messages.success(request, _("It was taken back; the history keeps it."))
        return redirect("duties:duty", pk)
    return _form_page(request, form, found, "duty_undo")


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def duty_assign(request: HttpRequest, pk: int) -> HttpResponse:
    """Say who sees to it."""
    found = get_object_or_404(duty_of(pk))
    form = AssignForm(posted(request), initial={"to": str(found.assignee_id or "")})
    if form.is_valid() and _done(form, lambda: doing.assign(duties=[found], to=form.person, by=person_of(request))):
        name = form.person.shown_name if form.person else ""
        said = _("%(name)s sees to it.") % {"name": name} if name else _("Nobody sees to it.")
        messages.success(request, said)
        return redirect("duties:duty", pk)
    return _form_page(request, form, found, "duty_assign")


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def duty_note(request: HttpRequest, pk: int) -> HttpResponse:
    """Write the note of a duty."""
    found = _duty(request, pk)
    form = NoteForm(posted(request), initial={"note": found.note})
    if form.is_valid() and _done(form, lambda: doing.set_note(
        duty=found, note=form.cleaned_data["note"], by=person_of(request))
    ):  # fmt: skip
        messages.success(request, _("The note was saved."))
        return redirect("duties:duty", pk)
    return _form_page(request, form, found, "duty_note")
