"""Signing a plan off, and withdrawing that."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.plans.actions.locking import PlanError
from governance.plans.actions.signing import mark_of, sign_off, withdraw_sign_off
from governance.plans.advice import advise
from governance.plans.forms.signing import SignOffForm, WithdrawSignOffForm
from governance.plans.models import FieldPlan, PlanSignOff
from governance.plans.queries.check import PlanCheck, check_plan
from governance.plans.queries.matrix import Only, matrix_of
from governance.plans.queries.need_lines import need_lines
from governance.plans.queries.signed import sign_offs, signed


@require_http_methods(["GET", "POST"])
@requires(Verb.SIGN_OFF_PLANS)
def plan_sign_off(request: HttpRequest, pk: int) -> HttpResponse:
    """What the check says, then the remark with which the plan is let go."""
    plan = get_object_or_404(FieldPlan, pk=pk)
    form = SignOffForm(posted(request))
    if request.method == "POST" and form.is_valid() and _signed(request, plan, form):
        return redirect("plans:plan", pk)
    check = check_plan(plan, today=timezone.localdate())
    return render(request, "plans/sign_off.html", _context(plan, check, form), status=form.status)


def _context(plan: FieldPlan, check: PlanCheck, form: SignOffForm) -> dict[str, object]:
    newest = plan.versions.select_related("kept_by").order_by("-number").first()
    matrix = matrix_of(check, Only(gaps=True))
    return {
        "plan": plan,
        "check": check,
        "form": form,
        "version": newest,
        "seen": newest.number if newest else 0,
        "looked": mark_of(check),
        "matrix": matrix,
        "strips": [(row, [shown.cell for shown in row.cells]) for row in matrix.rows],
        "needs": need_lines(check),
        "advice": len(advise(check)),
        "signed": signed(plan, check),
    }


def _signed(request: HttpRequest, plan: FieldPlan, form: SignOffForm) -> bool:
    """Sign; what is refused goes into the form."""
    try:
        made = sign_off(plan=plan, by=request.user, today=timezone.localdate(), **form.cleaned_data)
    except PlanError as problem:
        form.add_error(None, str(problem))
        return False
    words = _("Version %(number)s of %(plan)s is signed off.")
    messages.success(request, words % {"number": made.version.number, "plan": plan.reference})
    return True


@require_http_methods(["GET", "POST"])
@requires(Verb.SIGN_OFF_PLANS)
def sign_off_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a sign-off back, with a reason."""
    rows = PlanSignOff.objects.select_related("version__plan", "signed_by", "withdrawn_by")
    made = get_object_or_404(rows, pk=pk)
    form = WithdrawSignOffForm(posted(request))
    if request.method == "POST" and form.is_valid() and _withdrawn(request, made, form):
        return redirect("plans:plan", made.version.plan_id)
    counts_then = sign_offs(made.version.plan).filter(withdrawn_at__isnull=True).exclude(pk=pk).first()
    context = {"made": made, "plan": made.version.plan, "form": form, "counts_then": counts_then}
    return render(request, "plans/sign_off_withdraw.html", context, status=form.status)


def _withdrawn(request: HttpRequest, made: PlanSignOff, form: WithdrawSignOffForm) -> bool:
    """Withdraw; what is refused goes into the form."""
    try:
        withdraw_sign_off(sign_off=made, by=request.user, **form.cleaned_data)
    except PlanError as problem:
        form.add_error(None, str(problem))
        return False
    words = _("The sign-off of version %(number)s is withdrawn.")
    messages.success(request, words % {"number": made.version.number})
    return True
