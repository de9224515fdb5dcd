"""Forms of the rules of a country sheet: added, ended, followed by another, put right, withdrawn."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.functional import Promise
from django.utils.timezone import localdate
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.entry_forms import Form, posted
from governance.verdicts.actions.sheets import add_rule, add_rules, correct_rule, end_rule, follow_rule, withdraw_rule
from governance.verdicts.forms.sheet_at_once import RulesAtOnceForm
from governance.verdicts.forms.sheets import CorrectRuleForm, EndRuleForm, FollowingRuleForm, RuleForm
from governance.verdicts.models import CountrySheet, SheetRule
from governance.verdicts.queries.countries import name_of, rules_by_layer, treaty_facts


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_SHEETS)
def rule_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a rule to a sheet."""
    sheet = get_object_or_404(CountrySheet, pk=pk)
    form = RuleForm(request.POST or None, initial={"layer": request.GET.get("layer")})

    def save() -> None:
        add_rule(sheet, by=request.user, why=form.why, **form.values())

    return _answer(request, sheet, form, save, gettext_lazy("Add a rule"))


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_SHEETS)
def rules_at_once(request: HttpRequest, pk: int) -> HttpResponse:
    """The rules of all layers of which the sheet says nothing, on one page."""
    sheet = get_object_or_404(CountrySheet, pk=pk)
    layers = [row.layer for row in rules_by_layer(sheet) if not row.rules]
    if not layers:
        messages.info(request, _("Every layer of this sheet has a rule already."))
        return redirect("verdicts:country", sheet.pk)
    form = RulesAtOnceForm(layers, posted(request))
    if form.is_valid():
        try:
            made = add_rules(sheet, form.rules(), by=request.user, why=str(_("rules of the country sheet")))
        except ValidationError as error:
            form.refuse(error)
        else:
            said = ngettext("%(n)s rule was saved.", "%(n)s rules were saved.", len(made)) % {"n": len(made)}
            messages.success(request, f"{said} {_('Verdicts of this country are looked at again.')}")
            return redirect("verdicts:country", sheet.pk)
    context = {
        "form": form, "sheet": sheet, "name": name_of(sheet.country), "facts": treaty_facts(sheet.country, localdate()),
    }  # fmt: skip
    return render(request, "verdicts/country_rules_at_once.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_SHEETS)
def rule_end(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a rule its last day."""
    rule = _rule(pk)
    form = EndRuleForm(request.POST or None, initial={"last_day": rule.to_on})

    def save() -> None:
        data = form.cleaned_data
        end_rule(rule, last_day=data["last_day"], by=request.user, why=data["why"])

    return _answer(request, rule.sheet, form, save, gettext_lazy("End the rule"), rule)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_SHEETS)
def rule_follow(request: HttpRequest, pk: int) -> HttpResponse:
    """The law changed: the rule ends, another begins."""
    rule = _rule(pk)
    form = FollowingRuleForm(request.POST or None, initial={"required": str(not rule.required)})

    def save() -> None:
        follow_rule(rule, by=request.user, why=form.why, **form.values())

    return _answer(request, rule.sheet, form, save, gettext_lazy("Let another rule follow"), rule)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_SHEETS)
def rule_correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Put source or lead time right."""
    rule = _rule(pk)
    form = CorrectRuleForm(request.POST or None, initial={"source": rule.source, "lead_days": rule.lead_days})

    def save() -> None:
        data = form.cleaned_data
        values = {"source": data["source"], "lead_days": data["lead_days"]}
        correct_rule(rule, by=request.user, why=data["why"], **values)

    return _answer(request, rule.sheet, form, save, gettext_lazy("Put source or lead time right"), rule)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_SHEETS)
def rule_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask, then take away a rule that was entered by mistake."""
    rule = _rule(pk)
    if request.method == "POST":
        withdraw_rule(rule, by=request.user, why=request.POST.get("why") or str(_("entered by mistake")))
        messages.success(request, _("The rule was removed. Its history is kept."))
        return redirect("verdicts:country", rule.sheet_id)
    context = {"rule": rule, "sheet": rule.sheet, "name": name_of(rule.sheet.country)}
    return render(request, "verdicts/country_rule_remove.html", context)


def _rule(pk: int) -> SheetRule:
    return get_object_or_404(SheetRule.objects.select_related("sheet"), pk=pk)


def _answer(
    request: HttpRequest, sheet: CountrySheet, form: Form, save: Callable[[], None], heading: str | Promise,
    rule: SheetRule | None = None,
) -> HttpResponse:  # fmt: skip
    """Save what is valid and go back to the sheet; else show the form with what stands in the way."""
    if request.method == "POST" and form.is_valid():
        try:
            save()
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("Saved. Verdicts of this country are looked at again."))
            return redirect("verdicts:country", sheet.pk)
    context: dict[str, Any] = {"form": form, "sheet": sheet, "rule": rule, "page_heading": heading}
    return render(request, "verdicts/country_rule_form.html", context | {"name": name_of(sheet.country)})
