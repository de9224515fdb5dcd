"""The rules of the desk, for everybody; changed by those who may."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from accessions.people.access import Verb, person_of, requires
from accessions.people.changes import changes_of, newest_first
from accessions.people.entry_forms import posted
from governance.engine.uses import Answer, Use
from governance.papers.countries import countries_known
from governance.papers.models import USE_NAMES
from governance.usedesk.actions import rules as actions
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.forms.rules import FootingForm, HouseForm, RemoveRuleForm, SilenceForm, use_of
from governance.usedesk.models import DeskRules, FootingRule, SilenceRule
from governance.usedesk.queries.rules import (
    desk_rules as read_rules,
)
from governance.usedesk.queries.rules import (
    footing_lines,
    has_any_reading,
    listing_counts,
    silence_rules,
)
from governance.usedesk.views.requests import done, refuse


@require_safe
@requires(Verb.READ)
def desk_rules(request: HttpRequest) -> HttpResponse:
    """What the house decided for its desk, and what counts where it decided nothing."""
    silence = silence_rules()
    any_paper, no_paper = has_any_reading(silence)
    changes = newest_first(changes_of(DeskRules), changes_of(SilenceRule), changes_of(FootingRule))
    context = {
        "rules": read_rules(), "silence": silence, "footing": footing_lines(), "any_paper": any_paper,
        "no_paper": no_paper, "listed": listing_counts(timezone.localdate()), "changes": changes,
    }  # fmt: skip
    return render(request, "usedesk/desk_rules.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def house_edit(request: HttpRequest) -> HttpResponse:
    """Say where the house is and how it lends."""
    form = HouseForm(posted(request), instance=read_rules())
    if form.is_valid():
        try:
            actions.set_house(values=form.values(), by=person_of(request), why=form.cleaned_data["why"])
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("Saved."))
            return redirect("usedesk:desk-rules")
    context = {"form": form, "countries": countries_known()}
    return render(request, "usedesk/house_form.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def silence_new(request: HttpRequest) -> HttpResponse:
    """Say how silence is read."""
    form = SilenceForm(posted(request))
    if form.is_valid() and done(form, lambda: actions.add_silence_rule(values=form.values(), by=person_of(request))):
        messages.success(request, _("The reading is set; answers are worked out with it from now on."))
        return redirect("usedesk:desk-rules")
    return render(request, "usedesk/silence_form.html", {"form": form}, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def silence_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Read silence otherwise."""
    rule = get_object_or_404(SilenceRule, pk=pk)
    initial = {name: getattr(rule, name) for name in ("use", "paper_kind", "reading", "reason")}
    form = SilenceForm(posted(request), rule=rule, initial=initial)
    if form.is_valid():
        try:
            changed = actions.change_silence_rule(
                rule=rule, values=form.values(), by=person_of(request), why=form.cleaned_data["why"]
            )
        except (ValidationError, DeskError) as problem:
            refuse(form, problem)
        else:
            messages.success(request, _("Saved.") if changed else _("Nothing was changed."))
            return redirect("usedesk:desk-rules")
    return render(request, "usedesk/silence_form.html", {"form": form, "rule": rule}, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def silence_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a reading away, with a reason."""
    rule, form = get_object_or_404(SilenceRule, pk=pk), RemoveRuleForm(posted(request))
    if form.is_valid() and done(
        form, lambda: actions.remove_silence_rule(rule=rule, by=person_of(request), why=form.cleaned_data["why"])
    ):
        messages.success(request, _("The reading is gone; its history stays."))
        return redirect("usedesk:desk-rules")
    return render(request, "usedesk/rule_remove.html", {"form": form, "silence": rule}, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def footing_edit(request: HttpRequest, use: str) -> HttpResponse:
    """Say what becomes of material whose footing is not settled."""
    wanted = _use(use)
    rule = FootingRule.objects.filter(use=int(wanted)).first()
    form = FootingForm(posted(request), rule=rule, initial=_footing_initial(rule))
    if form.is_valid() and done(form, lambda: actions.set_footing_rule(
        use=wanted, values=form.values(), by=person_of(request), why=form.cleaned_data["why"] or _("entered"))
    ):  # fmt: skip
        messages.success(request, _("The rule is set; answers are worked out with it from now on."))
        return redirect("usedesk:desk-rules")
    context = {"form": form, "rule": rule, "use": wanted, "use_name": USE_NAMES[wanted]}
    return render(request, "usedesk/footing_form.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def footing_remove(request: HttpRequest, use: str) -> HttpResponse:
    """Go back to the default, with a reason."""
    wanted = _use(use)
    rule = FootingRule.objects.filter(use=int(wanted)).first()
    if rule is None:
        messages.info(request, _("The default counts for this use already."))
        return redirect("usedesk:desk-rules")
    form = RemoveRuleForm(posted(request))
    if form.is_valid() and done(
        form, lambda: actions.remove_footing_rule(rule=rule, by=person_of(request), why=form.cleaned_data["why"])
    ):
        messages.success(request, _("The default counts again; the history of the rule stays."))
        return redirect("usedesk:desk-rules")
    return render(request, "usedesk/rule_remove.html", {"form": form, "footing": rule}, status=form.status)


def _use(code: str) -> Use:
    found = use_of(code)
    if found is None:
        raise Http404
    return found


def _footing_initial(rule: FootingRule | None) -> dict[str, Any]:
    if rule is None:
        return {"if_outside": int(Answer.NOT_KNOWN), "if_doubtful": int(Answer.NOT_KNOWN)}
    return {name: getattr(rule, name) for name in ("if_outside", "if_doubtful", "reason")}
