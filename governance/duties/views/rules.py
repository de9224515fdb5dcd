"""Rules of duties: the list, one rule, entered with its days shown, corrected, ended; how the house follows duties."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from accessions.people.access import Verb, person_of, requires
from accessions.people.changes import changes_of
from accessions.people.csv_answers import csv_answer
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.duties.actions import house as house_actions
from governance.duties.actions import rules as actions
from governance.duties.actions.errors import DutyError
from governance.duties.actions.working_out import work_out
from governance.duties.forms.rules import DutyHouseForm, EndRuleForm, RuleFilterForm, RuleForm
from governance.duties.models import DutyHouse, DutyRule
from governance.duties.queries.listing import lines, with_state
from governance.duties.queries.marks import is_behind
from governance.duties.queries.picks import asked_row, picks
from governance.duties.queries.rules import (
    MOST_SHOWN,
    WantedRules,
    dated_conditions,
    duties_of,
    history_of,
    house_or_first,
    last_runs,
    open_count,
    preview,
    rule_counts,
    rule_lines,
    rule_of,
    rules,
    shown_days,
    start_values,
    without_rule,
)
from governance.duties.queries.rules_file import HEADERS, rule_file
from governance.papers.models import Condition, Paper
from governance.papers.restriction import check_readable, is_readable


@require_GET
@requires(Verb.READ)
def rule_list(request: HttpRequest) -> HttpResponse:
    """Rules that were entered, rules that stand with conditions, or conditions from which no rule follows."""
    form, today = RuleFilterForm(request.GET), timezone.localdate()
    wanted = form.wanted
    context = paged(request, _wanted_rules(wanted, request.user, today))
    context |= {
        "form": form, "wanted": wanted, "counts": rule_counts(), "is_behind": is_behind(), "paper": form.of_paper,
        "asked": request.GET.urlencode(),
        "lines": rule_lines(context["page"].object_list, request.user) if wanted.show == "entered" else (),
    }  # fmt: skip
    return render(request, "duties/rules.html", context)


@require_GET
@requires(Verb.EXPORT)
def rules_export(request: HttpRequest) -> HttpResponseBase:
    """The list as a file."""
    wanted = RuleFilterForm(request.GET).wanted
    rows = rule_file(wanted, request.user, timezone.localdate())
    return csv_answer(f"rules-{wanted.show}.csv", HEADERS[wanted.show], rows)


def _wanted_rules(wanted: WantedRules, reader: Any, today: date) -> Any:
    if wanted.show == "conditions":
        return dated_conditions(wanted, reader, today)
    return without_rule(wanted, reader) if wanted.show == "without" else rules(wanted, reader)


def _readable_rule(request: HttpRequest, pk: int) -> DutyRule:
    """The rule, for readers of its paper.

    Raises:
        RestrictedPaperError: says who may read it.
    """
    found = get_object_or_404(rule_of(pk))
    if found.paper is not None:
        check_readable(found.paper, request.user)
    return found


@require_GET
@requires(Verb.READ)
def rule(request: HttpRequest, pk: int) -> HttpResponse:
    """One rule with the duties that follow from it."""
    found, today = _readable_rule(request, pk), timezone.localdate()
    context = paged(request, with_state(duties_of(found), today))
    context |= {
        "rule": found, "lines": lines(list(context["page"].object_list), request.user), "today": today,
        "changes": history_of(found), "is_behind": is_behind(),
    }  # fmt: skip
    return render(request, "duties/rule.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def rule_new(request: HttpRequest) -> HttpResponse:
    """Enter a rule; its days can be looked at before it is saved."""
    is_trial = "show_days" in request.POST
    form = RuleForm(posted(request), initial=_start(request), is_trial=is_trial)
    if form.is_valid() and not is_trial:
        try:
            made = actions.add_rule(values=form.values(), by=person_of(request), why=form.why)
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("The rule is entered; its duties follow."))
            return redirect("duties:rule", made.pk)
    return _rule_form(request, form, is_trial=is_trial)


def _start(request: HttpRequest) -> dict[str, Any]:
    """From the paper, or the condition of a paper, that the address names, where the person may read it."""
    rows = Condition.objects.select_related("version__paper")
    condition = asked_row(request.GET.get("condition", ""), rows)
    paper = condition.version.paper if condition else asked_row(request.GET.get("paper", ""), Paper.objects.all())
    if paper is not None and not is_readable(paper, request.user):
        return {}
    return dict(start_values(condition, paper))


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def rule_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a rule; duties that are not done move with it."""
    found, is_trial = _readable_rule(request, pk), "show_days" in request.POST
    form = RuleForm(posted(request), instance=_readable_rule(request, pk), is_trial=is_trial)
    if form.is_valid() and not is_trial:
        try:
            changed = actions.change_rule(rule=found, values=form.values(), by=person_of(request), why=form.why)
        except ValidationError as error:
            form.refuse(error)
        except DutyError as error:
            form.add_error(None, str(error))
        else:
            said = _("Saved. Duties that are not done follow the rule.") if changed else _("Nothing was changed.")
            messages.success(request, said)
            return redirect("duties:rule", pk)
    return _rule_form(request, form, found, is_trial=is_trial)


def _rule_form(
    request: HttpRequest, form: RuleForm, found: DutyRule | None = None, *, is_trial: bool
) -> HttpResponse:  # fmt: skip
    context: dict[str, Any] = {"form": form, "rule": found, "today": timezone.localdate()}
    if is_trial and form.is_valid():
        typed = form.as_rule()
        if typed.paper is not None:
            check_readable(typed.paper, request.user)
        context["preview"] = preview(typed, context["today"])
        context["days"] = shown_days(context["preview"], context["today"])
        context["more"] = max(len(context["preview"].occurrences) - MOST_SHOWN, 0)
    return render(request, "duties/rule_form.html", context | picks("papers"), status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def rule_end(request: HttpRequest, pk: int) -> HttpResponse:
    """End a rule, for a reason."""
    found = _readable_rule(request, pk)
    to_do = open_count(found)
    form = EndRuleForm(posted(request), has_open=to_do > 0)
    if form.is_valid():
        try:
            dropped = actions.end_rule(
                rule=found, keeps_open=form.keeps_open, by=person_of(request), why=form.cleaned_data["why"]
            )
        except DutyError as error:
            form.add_error(None, str(error))
        else:
            said = ngettext(
                "The rule was ended; %(n)d duty is no longer asked for.",
                "The rule was ended; %(n)d duties are no longer asked for.", dropped,
            )  # fmt: skip
            messages.success(request, said % {"n": dropped} if dropped else _("The rule was ended."))
            return redirect("duties:rule", pk)
    return render(request, "duties/rule_end.html", {"form": form, "rule": found, "to_do": to_do}, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def house(request: HttpRequest) -> HttpResponse:
    """From which day on duties are followed, and how long before its day a duty counts as due."""
    current = house_or_first(timezone.localdate())
    form = DutyHouseForm(posted(request), instance=current)
    if form.is_valid():
        try:
            _house, changed = house_actions.set_house(
                values=form.values(), by=person_of(request), why=form.cleaned_data["why"]
            )
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("Saved.") if changed else _("Nothing was changed."))
            return redirect("duties:house")
    context = {
        "form": form, "house": house_or_first(timezone.localdate()), "changes": changes_of(DutyHouse),
        "runs": last_runs(), "is_behind": is_behind(),
    }  # fmt: skip
    return render(request, "duties/house.html", context, status=form.status)


@require_POST
@requires(Verb.KEEP_DUTIES)
def work_out_now(request: HttpRequest) -> HttpResponse:
    """Work all duties out again."""
    run = work_out(by=person_of(request), why=gettext_noop("asked for on a page"))
    told = {"made": run.made, "moved": run.moved, "dropped": run.dropped}
    messages.success(
        request, _("Worked out: %(made)d new, %(moved)d moved, %(dropped)d no longer asked for.") % told
    )  # fmt: skip
    return redirect("duties:duties")
