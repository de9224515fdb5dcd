"""Deciding that a layer of an accession or a part needs no paper, and withdrawing that."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.material.models import Accession
from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.engine.tables import EngineError, Layer, Verdict
from governance.papers.forms.rows import is_back
from governance.papers.models import LAYER_NAMES
from governance.papers.views.answers import status_of
from governance.verdicts.actions.layer_decisions import DecisionError, decide, withdraw_decision
from governance.verdicts.cells import Cell
from governance.verdicts.forms.layer_decisions import DecideForm, WithdrawDecisionForm
from governance.verdicts.models import LayerDecision
from governance.verdicts.queries.decisions import standing_decisions
from governance.verdicts.views.changes import Step, show_changes


@require_http_methods(["GET", "POST"])
@requires(Verb.DECIDE)
def decision_new(request: HttpRequest, pk: int, layer: str) -> HttpResponse:
    """Decide; with the button ``look`` say first what would change."""
    accession, wanted = get_object_or_404(Accession, pk=pk), _layer(layer)
    offered = {name: request.GET.get(name, "") for name in ("part", "reason", "evidence")}
    form = DecideForm(posted(request), accession=accession, initial=offered)
    name = LAYER_NAMES[wanted]

    def save() -> None:
        decide(accession=accession, layer=wanted, by=request.user, **form.values)

    step = Step(
        _("%(accession)s: %(layer)s needs no paper") % {"accession": accession.number, "layer": name},
        _("Decide, with this reason"), request.get_full_path(), _file(pk), accession.number,
    )  # fmt: skip
    said = _("%(layer)s: no paper is required, as decided. Verdicts follow.") % {"layer": name}
    context = {
        "accession": accession, "cell": Cell(Verdict.NOT_REQUIRED, wanted), "form": form,
        "standing": standing_decisions(accession, wanted),
    }  # fmt: skip
    return _taken(request, form, save, step, said) or render(
        request, "verdicts/decision_new.html", context, status=status_of(form)
    )


@require_http_methods(["GET", "POST"])
@requires(Verb.DECIDE)
def decision_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a decision back; with the button ``look`` say first what would change."""
    rows = LayerDecision.objects.select_related("accession", "part", "decided_by", "withdrawn_by")
    decision = get_object_or_404(rows, pk=pk)
    form = WithdrawDecisionForm(posted(request))
    name, number = LAYER_NAMES[Layer(decision.layer)], decision.accession.number

    def save() -> None:
        withdraw_decision(decision=decision, reason=form.cleaned_data["reason"], by=request.user)

    step = Step(
        _("%(accession)s: withdraw the decision on %(layer)s") % {"accession": number, "layer": name},
        _("Withdraw the decision"), request.get_full_path(), _file(decision.accession_id), number,
        is_weighty=True,
    )  # fmt: skip
    said = _("%(layer)s: the decision is withdrawn. Verdicts follow the rules and papers again.") % {"layer": name}
    context = {"decision": decision, "cell": Cell(Verdict.NOT_REQUIRED, Layer(decision.layer)), "form": form}
    return _taken(request, form, save, step, said) or render(
        request, "verdicts/decision_withdraw.html", context, status=status_of(form)
    )


def _taken(request: HttpRequest, form: Any, save: Any, step: Step, said: str) -> HttpResponse | None:
    """What would change, or the way back after saving; None if the form is to be shown."""
    if request.method != "POST" or is_back(request) or not form.is_valid():
        return None
    try:
        if "look" in request.POST:
            return show_changes(request, save, step, request.POST)
        save()
    except DecisionError as problem:
        form.add_error(None, str(problem))
        return None
    messages.success(request, said)
    return redirect(step.back)


def _file(accession: int) -> str:
    return reverse("verdicts:legal-file", args=[accession])


def _layer(code: str) -> Layer:
    try:
        return Layer.from_code(code)
    except EngineError:
        raise Http404 from None
