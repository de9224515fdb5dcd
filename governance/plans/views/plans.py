"""A plan begun, its face corrected; closed, taken up again, copied."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, may, requires
from accessions.people.entry_forms import posted
from accessions.people.models import Agent
from governance.plans.actions.copying import CopyMade, copy_plan
from governance.plans.actions.locking import PlanError
from governance.plans.actions.plans import add_plan, close_plan, edit_plan, reopen_plan
from governance.plans.forms.plans import CloseForm, CopyForm, PlanForm, ReopenForm
from governance.plans.models import FieldPlan
from governance.plans.queries.listing import next_reference
from governance.plans.views.trying import newest_number, save_or_try


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def plan_new(request: HttpRequest) -> HttpResponse:
    """Begin a plan; then its stops."""
    offered = {"reference": next_reference(timezone.localdate()), "language": "en", "leader": _own_name(request.user)}
    form = PlanForm(posted(request), initial=offered)
    if request.method == "POST" and form.is_valid():
        try:
            plan = add_plan(values=form.values(), by=request.user, why=gettext_noop("plan begun"))
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("Plan %(plan)s was begun. Now its stops.") % {"plan": plan.reference})
            return redirect("plans:plan", plan.pk)
    return render(request, "plans/plan_form.html", {"form": form, "people": _people()}, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def plan_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct the face of a plan."""
    plan = get_object_or_404(FieldPlan, pk=pk)
    form = PlanForm(posted(request), plan=plan, initial=_face(plan) | {"seen": newest_number(plan)})
    if request.method == "POST" and form.is_valid():
        why, seen = form.cleaned_data["why"] or _("plan corrected"), form.cleaned_data["seen"]
        outcome = save_or_try(
            request, plan, form,
            lambda: edit_plan(plan=plan, values=form.values(), by=request.user, why=why, seen=seen),
        )  # fmt: skip
        if outcome.is_saved:
            messages.success(request, _("Saved.") if outcome.saved else _("Nothing was changed."))
            return redirect("plans:plan", pk)
    context = {"form": form, "plan": get_object_or_404(FieldPlan, pk=pk), "people": _people()}
    return render(request, "plans/plan_form.html", context, status=form.status)


def _face(plan: FieldPlan) -> dict[str, Any]:
    names = ("reference", "title", "leader", "language", "uses", "contacts", "remarks")
    return {name: getattr(plan, name) for name in names}


def _own_name(user: Any) -> str:
    return user.agent.name if user.agent else ""


def _people() -> Any:
    return Agent.objects.filter(kind=Agent.Kind.PERSON).values_list("name", flat=True)[:1000]


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def plan_close(request: HttpRequest, pk: int) -> HttpResponse:
    """Close an open plan with a reason; take up a closed one again."""
    plan = get_object_or_404(FieldPlan.objects.select_related("closed_by", "accession"), pk=pk)
    form = (CloseForm if plan.closed_at is None else ReopenForm)(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            said = _turned(request, plan, form.cleaned_data["why"])
        except PlanError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, said)
            return redirect("plans:plan", pk)
    return render(request, "plans/plan_close.html", {"form": form, "plan": plan}, status=form.status)


def _turned(request: HttpRequest, plan: FieldPlan, why: str) -> str:
    if plan.closed_at is None:
        close_plan(plan=plan, by=request.user, why=why)
        return _("Plan %(plan)s is closed. It counts under no limit any more.") % {"plan": plan.reference}
    reopen_plan(plan=plan, by=request.user, why=why or gettext_noop("taken up again"))
    return _("Plan %(plan)s is open again.") % {"plan": plan.reference}


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def plan_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """A new plan with the stops of this one, their days moved."""
    plan = get_object_or_404(FieldPlan, pk=pk)
    offered = {
        "reference": next_reference(timezone.localdate()), "title": plan.title, "by": CopyForm.YEARS, "number": 1,
        "papers": "in-force",
    }  # fmt: skip
    form = CopyForm(posted(request), initial=offered)
    if request.method == "POST" and form.is_valid() and (made := _copied(request, plan, form)):
        messages.success(request, _said(plan, made))
        return redirect("plans:plan", made.plan.pk)
    context = {"form": form, "plan": plan, "stops": plan.stops.count(), "links": may(request.user, Verb.LINK_PAPERS)}
    return render(request, "plans/plan_copy.html", context, status=form.status)


def _copied(request: HttpRequest, plan: FieldPlan, form: CopyForm) -> CopyMade | None:
    told = form.cleaned_data
    try:
        return copy_plan(
            plan=plan, reference=told["reference"], title=told["title"], shift=form.shift(),
            same_weekdays=told["same_weekdays"], with_papers=told["papers"] == "in-force",
            today=timezone.localdate(), by=request.user,
            why=gettext_noop("copied from %(plan)s") % {"plan": plan.reference},
        )  # fmt: skip
    except ValidationError as error:
        form.refuse(error)
    except (OverflowError, ValueError):
        form.add_error("number", _("This leads to days that no calendar has. Write a smaller number."))
    return None


def _said(plan: FieldPlan, made: CopyMade) -> str:
    """What came along, and what did not."""
    stops = made.plan.stops.count()
    copied = ngettext(
        "%(plan)s was copied from %(old)s with %(n)d stop.", "%(plan)s was copied from %(old)s with %(n)d stops.", stops
    )
    parts = [copied % {"plan": made.plan.reference, "old": plan.reference, "n": stops}]
    if made.papers:
        parts.append(ngettext("%(n)d paper came along.", "%(n)d papers came along.", made.papers) % {"n": made.papers})
    if made.papers_left:
        left = ", ".join(made.papers_left)
        parts.append(_("Left behind, as not in force on the first day: %(papers)s.") % {"papers": left})
    if made.days_left:
        parts.append(_("Days of the way home that were not known to the day are blank: %(days)s.") % {
            "days": ", ".join(made.days_left)
        })  # fmt: skip
    parts.append(_("Applications, decisions, notices and sign-offs stay with the old plan."))
    return " ".join(parts)
