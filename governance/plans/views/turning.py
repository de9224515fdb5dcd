"""After the trip: a plan becomes an accession, or is held against one that is there."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, may, person_of, requires
from accessions.people.entry_forms import posted
from governance.papers.views.answers import status_of
from governance.plans.actions.locking import PlanError
from governance.plans.actions.turning import Turned, join_accession, leave_accession, turn_into_accession
from governance.plans.forms.turning import JoinForm, LeaveForm, TurnForm
from governance.plans.models import FieldPlan
from governance.plans.queries.turning import (
    MOST_OFFERED,
    Turning,
    accessions_without_plan,
    next_accession_number,
    turning,
)
from governance.plans.views.one_plan import found_plan

TURN_VERBS = (Verb.ENTER_FACTS, Verb.LINK_PAPERS)
"""Asked for beside the verb of the page before an accession is made."""


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def plan_turn(request: HttpRequest, pk: int) -> HttpResponse:
    """What will be made, to look at and to confirm."""
    plan = found_plan(pk)
    if plan.accession_id is not None:
        messages.info(request, _("This plan became %(accession)s already.") % {"accession": plan.accession})
        return redirect("plans:plan-after", plan.pk)
    whole = turning(plan)
    act = request.POST.get("act", "") if plan.is_open else ""
    form = TurnForm(request.POST if act in ("turn", "look") else None, whole=whole, initial=_offered(whole))
    join_form = JoinForm(request.POST if act == "join" else None, initial={"seen": _newest(plan)})
    if act == "turn" and form.is_valid():
        if (answer := _turned(request, plan, form)) is not None:
            return answer
    elif act == "join" and join_form.is_valid() and (answer := _joined(request, plan, join_form)) is not None:
        return answer
    return render(request, "plans/turn.html", _context(request, whole, form, join_form, act), status=_status(
        form, join_form, act
    ))  # fmt: skip


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def plan_leave(request: HttpRequest, pk: int) -> HttpResponse:
    """The plan was held against the wrong accession: taken off, with a reason."""
    plan = found_plan(pk)
    if plan.accession_id is None:
        messages.info(request, _("This plan is held against no accession."))
        return redirect("plans:plan", plan.pk)
    form = LeaveForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            leave_accession(plan=plan, by=request.user, why=form.cleaned_data["why"])
        except PlanError as problem:
            form.add_error(None, str(problem))
        else:
            said = _("%(plan)s is no longer held against %(accession)s; the accession was left as it is.")
            messages.success(request, said % {"plan": plan.reference, "accession": plan.accession})
            return redirect("plans:plan", plan.pk)
    return render(request, "plans/leave.html", {"plan": plan, "form": form}, status=status_of(form))


def _status(form: TurnForm, join_form: JoinForm, act: str) -> int:
    return status_of(form) if act == "turn" else status_of(join_form) if act == "join" else 200


def _context(request: HttpRequest, whole: Turning, form: TurnForm, join_form: JoinForm, act: str) -> dict[str, Any]:
    person = person_of(request)
    chosen = form.chosen("stops") if form.is_bound else None
    shown = whole if chosen is None else turning(whole.plan, chosen)
    rows = {one.stop.pk: one for one in (*shown.stops, *shown.not_visited)}
    return {
        "plan": whole.plan,
        "form": form.only_looked_at(whole) if act == "look" else form,
        "join_form": join_form,
        "act": act,
        "turning": shown,
        "rows": [rows[one.stop.pk] for one in whole.stops],
        "homes": whole.homes,
        "homes_chosen": form.chosen("homes") if form.is_bound else set(),
        "with_events": bool(form["with_events"].value()),
        "left": shown.left_behind(person),
        "decides": may(person, Verb.DECIDE),
        "may_turn": all(may(person, verb) for verb in TURN_VERBS),
        "accessions": accessions_without_plan()[:MOST_OFFERED],
    }


def _offered(whole: Turning) -> dict[str, Any]:
    today = timezone.localdate()
    return {
        "number": next_accession_number(today.year),
        "title": whole.plan.title,
        "with_events": True,
        "stops": [one.stop.pk for one in whole.stops],
        "seen": _newest(whole.plan),
    }


def _newest(plan: FieldPlan) -> int | None:
    """The number of the version that the page shows."""
    return plan.versions.order_by("-number").values_list("number", flat=True).first()


def _turned(request: HttpRequest, plan: FieldPlan, form: TurnForm) -> HttpResponseRedirect | None:
    """The way on; None where it was refused, with the reason on the form."""
    try:
        turned = turn_into_accession(plan=plan, by=request.user, **form.values)
    except PlanError as problem:
        form.add_error(None, str(problem))
    except ValidationError as problem:
        form.refuse(problem)
    else:
        messages.success(request, _made_words(plan, turned))
        for words in turned.left:
            messages.warning(request, _("Not carried over: %(what)s") % {"what": words})
        return redirect("material:accession", turned.accession.pk)
    return None


def _joined(request: HttpRequest, plan: FieldPlan, form: JoinForm) -> HttpResponseRedirect | None:
    told = form.cleaned_data
    try:
        join_accession(
            plan=plan, accession=told["accession"], by=request.user, why=told["why"], seen=told["seen"]
        )  # fmt: skip
    except PlanError as problem:
        form.add_error(None, str(problem))
    else:
        said = _("%(plan)s is held against %(accession)s from now on. No paper was linked by it.")
        messages.success(request, said % {"plan": plan.reference, "accession": told["accession"]})
        return redirect("plans:plan-after", plan.pk)
    return None


def _made_words(plan: FieldPlan, turned: Turned) -> str:
    parts = [
        ngettext("%(n)s part", "%(n)s parts", turned.parts) % {"n": turned.parts},
        ngettext("%(n)s planned event", "%(n)s planned events", turned.events) % {"n": turned.events},
        ngettext("%(n)s paper link", "%(n)s paper links", turned.links) % {"n": turned.links},
        ngettext("%(n)s decision", "%(n)s decisions", turned.decisions) % {"n": turned.decisions},
        ngettext("%(n)s delivery", "%(n)s deliveries", turned.deliveries) % {"n": turned.deliveries},
    ]
    return _("%(plan)s became %(accession)s: %(made)s.") % {
        "plan": plan.reference, "accession": turned.accession, "made": ", ".join(parts),
    }  # fmt: skip
