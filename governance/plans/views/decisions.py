"""Deciding that a layer of a plan or a stop needs no paper, and withdrawing that."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.engine.tables import EngineError, Layer, Verdict
from governance.papers.models import LAYER_NAMES
from governance.papers.views.answers import status_of
from governance.plans.actions.decisions import decide, withdraw_decision
from governance.plans.actions.locking import PlanError
from governance.plans.forms.decisions import DecideForm, WithdrawDecisionForm
from governance.plans.models import PlanDecision
from governance.plans.queries.one_plan import standing_decisions
from governance.plans.views.in_place import changed, refused
from governance.plans.views.one_plan import found_plan
from governance.verdicts.cells import Cell


@require_http_methods(["GET", "POST"])
@requires(Verb.DECIDE)
def plan_decide(request: HttpRequest, pk: int, layer: str) -> HttpResponse:
    """Decide for the plan or one stop (?stop=)."""
    plan, wanted = found_plan(pk), layer_of(layer)
    offered = {name: request.GET.get(name, "") for name in ("stop", "reason", "evidence")}
    form = DecideForm(posted(request), plan=plan, initial=offered)
    if request.method == "POST" and form.is_valid():
        try:
            decide(plan=plan, layer=wanted, by=request.user, **form.values)
        except PlanError as problem:
            form.add_error(None, str(problem))
        else:
            said = _("%(layer)s: no paper is required, as decided; the check was made again.")
            messages.success(request, said % {"layer": LAYER_NAMES[wanted]})
            return changed(request, plan.pk)
    context = {
        "plan": plan, "form": form, "cell": Cell(Verdict.NOT_REQUIRED, wanted),
        "standing": [row for row in standing_decisions(plan) if row.layer == wanted],
    }  # fmt: skip
    return refused(request, render(request, "plans/plan_decide.html", context, status=status_of(form)))


@require_http_methods(["GET", "POST"])
@requires(Verb.DECIDE)
def decision_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a decision back, with a reason."""
    rows = PlanDecision.objects.select_related("plan", "stop", "decided_by", "withdrawn_by")
    decision = get_object_or_404(rows, pk=pk)
    form = WithdrawDecisionForm(posted(request))
    layer = Layer(decision.layer)
    if request.method == "POST" and form.is_valid():
        try:
            withdraw_decision(decision=decision, reason=form.cleaned_data["reason"], by=request.user)
        except PlanError as problem:
            form.add_error(None, str(problem))
        else:
            said = _("%(layer)s: the decision is withdrawn; the check was made again.")
            messages.success(request, said % {"layer": LAYER_NAMES[layer]})
            return changed(request, decision.plan_id)
    context = {
        "plan": decision.plan, "decision": decision, "form": form, "cell": Cell(Verdict.NOT_REQUIRED, layer),
    }  # fmt: skip
    return refused(request, render(request, "plans/plan_decision_withdraw.html", context, status=status_of(form)))


def layer_of(code: str) -> Layer:
    """The layer of an address.

    Raises:
        Http404: there is none of this word.
    """
    try:
        return Layer.from_code(code)
    except EngineError:
        raise Http404 from None
