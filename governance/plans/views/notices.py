"""Notices of a plan: recording one, and taking one off."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.plans.actions.locking import PlanError
from governance.plans.actions.notices import give_notice, take_off_notice
from governance.plans.forms.notices import NoticeForm, NoticeRemoveForm
from governance.plans.models import FieldPlan, PlanNotice


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def plan_notice(request: HttpRequest, pk: int) -> HttpResponse:
    """Record a notice; the address may name the paper and the stop."""
    plan = get_object_or_404(FieldPlan, pk=pk)
    offered = {name: request.GET.get(name, "") for name in ("paper", "stop")}
    form = NoticeForm(posted(request), plan=plan, initial={**offered, "given_on": timezone.localdate()})
    if request.method == "POST" and form.is_valid() and _given(request, plan, form):
        return redirect("plans:plan", pk)
    return render(request, "plans/notice_new.html", {"plan": plan, "form": form}, status=form.status)


def _given(request: HttpRequest, plan: FieldPlan, form: NoticeForm) -> bool:
    """Record it; what is refused goes into the form."""
    try:
        notice = give_notice(plan=plan, by=request.user, today=timezone.localdate(), **form.cleaned_data)
    except PlanError as problem:
        form.add_error(None, str(problem))
        return False
    except ValidationError as problem:
        form.refuse(problem)
        return False
    messages.success(request, _("Notice under %(paper)s is recorded.") % {"paper": notice.paper.reference})
    return True


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def notice_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a notice off, with a reason."""
    notice = get_object_or_404(PlanNotice.objects.select_related("plan", "paper", "stop"), pk=pk)
    form = NoticeRemoveForm(posted(request))
    if request.method == "POST" and form.is_valid() and _taken_off(request, notice, form):
        return redirect("plans:plan", notice.plan_id)
    return render(request, "plans/notice_remove.html", {"notice": notice, "form": form}, status=form.status)


def _taken_off(request: HttpRequest, notice: PlanNotice, form: NoticeRemoveForm) -> bool:
    """Take it off; what is refused goes into the form."""
    reference = notice.paper.reference
    try:
        take_off_notice(notice=notice, by=request.user, why=form.cleaned_data["why"])
    except PlanError as problem:
        form.add_error(None, str(problem))
        return False
    messages.success(request, _("The notice under %(paper)s was taken off.") % {"paper": reference})
    return True
