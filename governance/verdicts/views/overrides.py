"""Deciding beside a computed verdict, and taking that back."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.material.models import Specimen
from accessions.people.access import Verb, requires
from governance.engine.tables import EngineError, Layer, Verdict
from governance.papers.models import LAYER_NAMES
from governance.verdicts.actions.overrides import OverrideError, overrule, withdraw
from governance.verdicts.forms.overrides import OverruleForm, WithdrawForm
from governance.verdicts.models import VERDICT_NAMES, Override
from governance.verdicts.queries.layer_cards import LayerCard
from governance.verdicts.queries.specimen_page import page_specimen, specimen_page


@require_http_methods(["GET", "POST"])
@requires(Verb.OVERRULE)
def override(request: HttpRequest, pk: int, layer: str) -> HttpResponse:
    """Overrule a layer; or, where a decision stands, withdraw it."""
    specimen, card = _found(pk, layer)
    stands = card.override or card.waiting
    computed = card.outcome.verdict
    data = request.POST if request.method == "POST" else None
    form = WithdrawForm(data) if stands else OverruleForm(data, computed=computed)
    if request.method == "POST" and form.is_valid() and _decided(request, specimen, card, form, stands):
        return redirect("verdicts:specimen", pk=pk)
    context = {"specimen": specimen, "card": card, "form": form, "stands": stands}
    return render(request, "verdicts/override.html", context, status=422 if form.errors else 200)


def _found(pk: int, layer: str) -> tuple[Specimen, LayerCard]:
    """The specimen and its layer; a layer nobody knows, or no verdict yet, is not found."""
    try:
        wanted = Layer.from_code(layer)
    except EngineError:
        raise Http404 from None
    found = page_specimen(pk)
    if found is None:
        raise Http404
    card = next((card for card in specimen_page(found).cards if card.layer is wanted), None)
    if card is None:
        raise Http404
    return found, card


def _decided(
    request: HttpRequest,
    specimen: Specimen,
    card: LayerCard,
    form: OverruleForm | WithdrawForm,
    stands: Override | None,
) -> bool:
    """Make or withdraw the decision; a mistake goes into the form."""
    given, layer = form.cleaned_data, LAYER_NAMES[card.layer]
    try:
        if stands is not None:
            withdraw(override=stands, reason=given["reason"], by=request.user)
            messages.success(request, _("%(layer)s: the decision is withdrawn, the computed verdict counts again.")
                             % {"layer": layer})  # fmt: skip
        else:
            decided = Verdict(given["decided"])
            made = overrule(
                specimen=specimen, layer=card.layer, decided=decided, reason=given["reason"], by=request.user,
                expected=given["computed"],
            )  # fmt: skip
            if made.waits:
                messages.success(request, _("%(layer)s: your decision waits for a second person, and does not "
                                            "count until then.") % {"layer": layer})  # fmt: skip
                return True
            messages.success(request, _("%(layer)s now counts as “%(verdict)s”; the computed verdict stays visible.")
                             % {"layer": layer, "verdict": VERDICT_NAMES[decided]})  # fmt: skip
    except OverrideError as problem:
        form.add_error(None, str(problem))
        return False
    return True
