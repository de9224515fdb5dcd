"""The steps of an application: asked, promised, refused, given up, granted; and each step undone."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from accessions.intake.problems import FileProblems
from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.papers.forms.sheet import distribute
from governance.papers.queries.pick_lists import pick_lists
from governance.plans.actions import asking, granting
from governance.plans.actions.locking import PlanError
from governance.plans.forms import applications as forms
from governance.plans.models import Application
from governance.plans.queries.applications import (
    line_of,
    steps_of,
)
from governance.plans.queries.suggesting import country_of_application, papers_of_layer


@dataclass(frozen=True)
class Step:
    """A step on a page of its own. done: the sentence afterwards."""

    title: Any
    answer: Any
    save: Any
    done: Any
    form: Callable[..., Any]
    act: Callable[..., Application]
    day: str


STEPS: Mapping[str, Step] = {
    "ask": Step(
        gettext_lazy("Record that it was asked for"),
        gettext_lazy("From this day on it waits for an answer. Nothing is covered by having been asked for."),
        gettext_lazy("It was asked for"), gettext_lazy("Asked for; it waits for an answer."),
        forms.AskForm, asking.ask, "asked_on",
    ),
    "promise": Step(
        gettext_lazy("Record a promised answer"),
        gettext_lazy("The day shows up on the checklist and in the calendar of the plan."),
        gettext_lazy("An answer is promised"), gettext_lazy("The promised day is recorded."),
        lambda data, **_more: forms.PromiseForm(data), asking.promise, "",
    ),
    "refuse": Step(
        gettext_lazy("Record a refusal"),
        gettext_lazy("The application ends here. It stays on record, and can be asked for anew."),
        gettext_lazy("It was refused"), gettext_lazy("The refusal is recorded."),
        lambda data, **more: forms.RefuseForm(data, initial=more["initial"]), asking.refuse, "refused_on",
    ),
    "give-up": Step(
        gettext_lazy("Give it up"),
        gettext_lazy("It is no longer pursued. It stays on record, and can be asked for anew."),
        gettext_lazy("Give it up"), gettext_lazy("It was given up."),
        lambda data, **more: forms.GiveUpForm(data, initial=more["initial"]), asking.give_up, "dropped_on",
    ),
}  # fmt: skip
"""By the word in the address."""


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def application_step(request: HttpRequest, pk: int, step: str) -> HttpResponse:
    """One step: on which day, and what belongs to it."""
    if step not in STEPS:
        raise Http404
    found, one = _application(pk), STEPS[step]
    initial = {one.day: timezone.localdate()} if one.day else {}
    form = one.form(posted(request), application=found, person=person_of(request), initial=initial)
    if form.is_valid() and _done(form, lambda: one.act(application=found, by=person_of(request), **form.told())):
        messages.success(request, str(one.done))
        return redirect("plans:application", pk)
    context = _context(found) | {"form": form, "step": one, "word": step, "is_possible": step in steps_of(found)}
    return render(request, "plans/application_step.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def application_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the last step back, for a reason."""
    found = _application(pk)
    form = forms.UndoForm(posted(request), initial={"state": found.state})
    if form.is_valid() and _done(
        form, lambda: asking.undo_step(application=found, by=person_of(request), **form.cleaned_data)
    ):
        messages.success(request, _("The step was taken back."))
        return redirect("plans:application", pk)
    context = _context(found) | {"form": form, "attached": asking.attached_by_grant(found)}
    return render(request, "plans/application_undo.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def application_grant(request: HttpRequest, pk: int) -> HttpResponse:
    """It was granted: by a paper on file, or by one that is registered here."""
    found, today, person = _application(pk), timezone.localdate(), person_of(request)
    data = posted(request)
    is_on_file = data is not None and "on_file" in data
    on_file = forms.OnFileForm(
        data if is_on_file else None, reader=person, prefix="file", initial={"granted_on": today}
    )
    face = forms.face_of(found, country_of_application(found), today)
    new = forms.NewPaperForm(None if is_on_file else data, prefix="new", initial=face)
    form = on_file if is_on_file else new
    if form.is_valid() and _done(form, lambda: _grant(found, form, person)):
        granted = _application(pk)
        messages.success(request, _("Granted: %(paper)s is linked.") % {"paper": granted.paper})
        return redirect("plans:application", pk)
    context = _context(found) | {
        "form": form, "on_file": on_file, "new": new, "is_possible": "grant" in steps_of(found),
        "known": papers_of_layer(found.layer), "picks": pick_lists(person), "is_on_file": is_on_file,
    }  # fmt: skip
    return render(request, "plans/application_grant.html", context, status=form.status)


def _grant(found: Application, form: Any, person: Any) -> Application:
    what = {"paper": form.cleaned_data["paper"]} if isinstance(form, forms.OnFileForm) else {"data": form.object()}
    return granting.grant(application=found, on=form.cleaned_data["granted_on"], by=person, **what)


def _done(form: Any, act: Callable[[], object]) -> bool:
    """Whether the action went through; what it refused stands beside the fields."""
    try:
        act()
    except ValidationError as problem:
        form.refuse(problem)
    except PlanError as problem:
        form.add_error(None, str(problem))
    except FileProblems as problems:
        distribute(problems.problems, form, None, 0)
    else:
        return True
    return False


def _application(pk: int) -> Application:
    rows = Application.objects.select_related("plan", "assignee", "paper").prefetch_related("application_stops__stop")
    return get_object_or_404(rows, pk=pk)


def _context(found: Application) -> dict[str, Any]:
    return {"application": found, "plan": found.plan, "line": line_of(found, timezone.localdate())}
