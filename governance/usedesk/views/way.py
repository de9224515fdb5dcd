"""Deciding on the way there, and taking that back."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES
from governance.usedesk.actions import way as actions
from governance.usedesk.forms.deciding import WithdrawDecisionForm
from governance.usedesk.forms.way import WayForm
from governance.usedesk.models import UseRequest, WayDecision
from governance.usedesk.queries.one_request import papers_of_layer, way_decisions_of
from governance.usedesk.views.requests import done


@require_http_methods(["GET", "POST"])
@requires(Verb.APPROVE_USES)
def way_decide(request: HttpRequest, pk: int, way: str) -> HttpResponse:
    """Decide that export, import or CITES asks for no paper, or which one is held."""
    found = get_object_or_404(UseRequest.objects.select_related("recipient"), pk=pk)
    layer = next((one for one in WayDecision.WAY_LAYERS if one.code == way), None)
    if layer is None:
        raise Http404
    form = WayForm(posted(request), reader=request.user)
    if form.is_valid() and done(form, lambda: actions.decide_way(
        request=found, layer=layer, paper=form.cleaned_data["paper"], reason=form.cleaned_data["reason"],
        evidence=form.cleaned_data["evidence"], by=person_of(request),
    )):  # fmt: skip
        said = _("%(layer)s is decided; the answers are worked out with it from now on.")
        messages.success(request, said % {"layer": LAYER_NAMES[layer]})
        return redirect("usedesk:request", pk)
    context = {
        "form": form, "found": found, "layer": layer.code, "layer_name": LAYER_NAMES[layer],
        "known": papers_of_layer(layer, request.user),
        "standing": [one for one in way_decisions_of(found) if one.layer == layer and one.withdrawn_at is None],
    }  # fmt: skip
    return render(request, "usedesk/way_decide.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.APPROVE_USES)
def way_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a decision on the way back, with a reason."""
    rows = WayDecision.objects.select_related("request", "paper", "decided_by", "withdrawn_by")
    decision = get_object_or_404(rows, pk=pk)
    form = WithdrawDecisionForm(posted(request))
    if form.is_valid() and done(form, lambda: actions.withdraw_way(
        decision=decision, reason=form.cleaned_data["reason"], by=person_of(request))
    ):  # fmt: skip
        messages.success(request, _("The decision is withdrawn; the rules count again."))
        return redirect("usedesk:request", decision.request_id)
    context = {
        "form": form, "found": decision.request, "decision": decision,
        "layer_name": LAYER_NAMES[Layer(decision.layer)],
    }  # fmt: skip
    return render(request, "usedesk/way_withdraw.html", context, status=form.status)
