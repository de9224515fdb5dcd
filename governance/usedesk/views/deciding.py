"""Deciding which material of a request may go, and taking a decision back."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from accessions.material.models import Specimen
from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.engine.uses import Answer
from governance.papers.models import Paper
from governance.papers.restriction import is_readable
from governance.usedesk.actions import deciding as actions
from governance.usedesk.forms.deciding import ApproveAllForm, DecideForm, WithdrawDecisionForm
from governance.usedesk.models import RequestDecision, UseRequest
from governance.usedesk.queries.deciding import all_that_may_go, reasons_for, to_decide
from governance.usedesk.queries.in_force_today import two_days
from governance.usedesk.queries.shown import ShownGroup
from governance.usedesk.views.requests import done


@require_http_methods(["GET", "POST"])
@requires(Verb.APPROVE_USES)
def request_decide(request: HttpRequest, pk: int, group: str) -> HttpResponse:
    """Decide on a group of specimens, or a part of it."""
    found = get_object_or_404(UseRequest.objects.select_related("recipient"), pk=pk)
    days = two_days(found)
    desk = days.asked
    wanted = desk.group(group)
    if wanted is None:
        messages.error(request, _("The answers changed meanwhile: this group is no longer there. Look again."))
        return redirect("usedesk:request", pk)
    waiting = to_decide(found, wanted, desk)
    form = DecideForm(
        posted(request), waiting=waiting, may_approve=wanted.answer != Answer.NOT_ALLOWED,
        needs_reason=not wanted.may_go, initial={"seen": waiting.seen},
    )  # fmt: skip
    made: list[RequestDecision] = []
    if form.is_valid() and done(form, lambda: made.append(_decided(request, form, found))):
        messages.success(request, _said(made))
        return redirect("usedesk:request", pk)
    reasons, more = reasons_for(wanted.findings, desk, request.user)
    pages = paged(request, list(waiting.undecided))
    context = {
        "form": form, "found": found, "group": wanted, "waiting": waiting, "reasons": reasons, "more_reasons": more,
        "specimens": _specimens(pages["page"].object_list), "ticked": set(request.POST.getlist("item")),
        "today": days.notice_of(waiting.undecided),
    }  # fmt: skip
    return render(request, "usedesk/request_decide.html", context | pages, status=form.status)


def _decided(request: HttpRequest, form: DecideForm, found: UseRequest) -> RequestDecision:
    return actions.decide(
        request=found, ids=form.chosen, is_approved=form.is_approved, reason=form.cleaned_data["reason"],
        seen=form.cleaned_data["seen"], by=person_of(request),
    )  # fmt: skip


def _specimens(keys: Any) -> list[Specimen]:
    rows = Specimen.objects.select_related("name").in_bulk(list(keys))
    return [rows[pk] for pk in keys if pk in rows]


def _said(made: list[RequestDecision]) -> str:
    count = sum(one.items.count() for one in made)
    if made[0].is_approved:
        return ngettext("%(n)d specimen may go.", "%(n)d specimens may go.", count) % {"n": count}
    return ngettext("%(n)d specimen stays here.", "%(n)d specimens stay here.", count) % {"n": count}


@require_http_methods(["GET", "POST"])
@requires(Verb.APPROVE_USES)
def request_approve(request: HttpRequest, pk: int) -> HttpResponse:
    """Approve in one step all that may go as asked."""
    found = get_object_or_404(UseRequest.objects.select_related("recipient"), pk=pk)
    days = two_days(found)
    desk = days.asked
    waiting = all_that_may_go(found, desk)
    form = ApproveAllForm(posted(request), initial={"seen": " ".join(one.seen for one in waiting)})
    made: list[RequestDecision] = []
    if form.is_valid() and done(form, lambda: made.extend(actions.approve_all(
        request=found, seen=form.marks(), reason=form.cleaned_data["reason"], by=person_of(request))
    )):  # fmt: skip
        messages.success(request, _said(made))
        return redirect("usedesk:request", pk)
    context = {
        "form": form, "found": found, "waiting": waiting, "count": sum(len(one.undecided) for one in waiting),
        "groups": [ShownGroup(one.group, desk, request.user, len(one.undecided), one.decided, 0) for one in waiting],
        "today": days.notice_of([pk for one in waiting for pk in one.undecided]),
    }  # fmt: skip
    return render(request, "usedesk/request_approve.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.APPROVE_USES)
def decision_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a decision back, with a reason."""
    rows = RequestDecision.objects.select_related("request", "decided_by", "withdrawn_by")
    decision = get_object_or_404(rows, pk=pk)
    form = WithdrawDecisionForm(posted(request))
    if form.is_valid() and done(form, lambda: actions.withdraw_decision(
        decision=decision, reason=form.cleaned_data["reason"], by=person_of(request))
    ):  # fmt: skip
        messages.success(request, _("The decision is withdrawn; its specimens are undecided again."))
        return redirect("usedesk:request", decision.request_id)
    context = {
        "form": form, "found": decision.request, "decision": decision, "count": decision.items.count(),
        "reasons": _kept_reasons(decision, request.user),
    }  # fmt: skip
    return render(request, "usedesk/decision_withdraw.html", context, status=form.status)


def _kept_reasons(decision: RequestDecision, reader: Any) -> list[dict[str, Any]]:
    """The reasons of the day, with their clauses where the reader may read the paper."""
    papers = Paper.objects.in_bulk([one["paper"] for one in decision.reasons if one.get("paper")])
    closed = {pk for pk, paper in papers.items() if not is_readable(paper, reader)}
    return [one | {"clause": "" if one.get("paper") in closed else one["clause"]} for one in decision.reasons]
