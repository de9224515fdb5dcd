"""Papers linked to a plan, and taken off."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.plans.actions.attaching import attach, take_off
from governance.plans.actions.locking import PlanError
from governance.plans.forms.attaching import AttachForm, TakeOffForm
from governance.plans.models import PlanPaper
from governance.plans.queries.matrix import Only
from governance.plans.queries.papers_on_file import papers_to_choose
from governance.plans.views.in_place import changed, is_in_place, refused
from governance.plans.views.one_plan import checked_again, found_plan


@require_http_methods(["GET", "POST"])
@requires(Verb.LINK_PAPERS)
def plan_attach(request: HttpRequest, pk: int) -> HttpResponse:
    """Link a paper to the plan or to a stop; in place where the script of the page asks."""
    plan = found_plan(pk)
    offered = {name: request.GET.get(name, "") for name in ("paper", "stop", "why")}
    form = AttachForm(posted(request), plan=plan, initial=offered)
    if request.method == "POST" and form.is_valid():
        try:
            attach(plan=plan, by=request.user, **form.values)
        except PlanError as problem:
            form.add_error(None, str(problem))
        else:
            paper = form.cleaned_data["paper"]
            messages.success(request, _("%(paper)s is linked; the check was made again.") % {"paper": paper})
            return changed(request, plan.pk)
    if is_in_place(request) and request.method == "POST":
        return checked_again(request, found_plan(plan.pk), Only.asked(request.POST), form)
    context = {"plan": plan, "form": form, "papers": papers_to_choose(request.GET.get("layer", ""))}
    return render(request, "plans/plan_attach.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.LINK_PAPERS)
def take_off_paper(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a paper off, after the reason was given; in place where the script of the page asks."""
    rows = PlanPaper.objects.select_related("plan", "stop", "paper", "linked_by", "unlinked_by")
    row = get_object_or_404(rows, pk=pk)
    form = TakeOffForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            take_off(plan_paper=row, why=form.cleaned_data["why"], by=request.user)
        except PlanError as problem:
            form.add_error(None, str(problem))
        else:
            messages.success(request, _("%(paper)s is taken off; the check was made again.") % {"paper": row.paper})
            return changed(request, row.plan_id)
    context = {"plan": row.plan, "row": row, "form": form}
    return refused(request, render(request, "plans/plan_paper_take_off.html", context, status=form.status))
