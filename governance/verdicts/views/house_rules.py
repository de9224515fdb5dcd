"""The house rules and their history."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from accessions.people.access import Verb, requires
from accessions.people.changes import changes_of
from governance.verdicts.actions.house_rules import change_house_rules
from governance.verdicts.forms.house_rules import HouseRulesForm
from governance.verdicts.models import HouseRuleSet


@require_safe
@requires(Verb.READ)
def house_rules(request: HttpRequest) -> HttpResponse:
    """What the house assumes, for everybody."""
    context = {"rules": _rules(), "changes": changes_of(HouseRuleSet)}
    return render(request, "verdicts/house_rules.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def house_rules_edit(request: HttpRequest) -> HttpResponse:
    """Change them, with a reason."""
    form = HouseRulesForm(request.POST or None, instance=_rules())
    if request.method == "POST" and form.is_valid():
        change_house_rules(values=form.values(), by=request.user, why=form.cleaned_data["why"])
        words = _("The house rules are changed; verdicts that rest on them are being looked at again.")
        messages.success(request, words)
        return redirect("verdicts:house-rules")
    return render(request, "verdicts/house_rules_edit.html", {"form": form}, status=422 if form.errors else 200)


def _rules() -> HouseRuleSet:
    """The house rules; the defaults of the model where nobody set them."""
    return HouseRuleSet.objects.first() or HouseRuleSet(pk=1)
