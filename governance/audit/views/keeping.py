"""Until when papers are kept, the rules of it, and the end of utilisation."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.changes import changes_of
from accessions.people.csv_answers import csv_answer
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.audit.actions import keeping as actions
from governance.audit.actions.errors import AuditError
from governance.audit.forms.keeping import EndForm, KeptFilterForm, ReasonForm, RuleForm
from governance.audit.models import KeepingRule, UtilisationEnd
from governance.audit.queries.keeping import asked_paper, kept_paper
from governance.audit.queries.keeping_listing import HEADERS, kept_file, kept_page
from governance.audit.queries.keeping_rules import keeping_rules
from governance.papers.restriction import check_readable


@require_GET
@requires(Verb.READ)
def keeping(request: HttpRequest) -> HttpResponse:
    """Papers with their last day of keeping."""
    form = KeptFilterForm(request.GET)
    found = kept_page(form.wanted(), timezone.localdate())
    context = paged(request, found.rows) | {"form": form, "found": found, "rules": keeping_rules().values()}
    return render(request, "audit/keeping.html", context)


@require_GET
@requires(Verb.EXPORT)
def keeping_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The same as CSV."""
    return csv_answer("keeping.csv", HEADERS, kept_file(KeptFilterForm(request.GET).wanted(), timezone.localdate()))


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def rules(request: HttpRequest) -> HttpResponse:
    """Adopt or change a rule of keeping."""
    sent, found = request.POST if request.method == "POST" else None, keeping_rules()
    forms = {kind: _rule_form(sent, kind.value, rule) for kind, rule in found.items()}
    form = next((one for one in forms.values() if one.is_bound), None)
    if form is not None and form.is_valid():
        told = form.cleaned_data
        try:
            actions.adopt_rule(kind=told["kind"], years=told["years"], source=told["source"], by=request.user,
                               why=told["why"])  # fmt: skip
        except AuditError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The rule is adopted."))
            return redirect("audit:keeping-rules")
    lines = [(rule, forms[kind]) for kind, rule in found.items()]
    context = {"lines": lines, "form": form, "changes": changes_of(KeepingRule)}
    return render(request, "audit/keeping_rules.html", context, status=form.status if form else 200)


def _rule_form(sent: Any, kind: str, rule: Any) -> RuleForm:
    data = sent if sent is not None and sent.get("kind") == kind else None
    initial = {"kind": kind, "years": rule.years, "source": rule.source}
    return RuleForm(data, initial=initial, auto_id=f"{kind}-%s")


@require_http_methods(["GET", "POST"])
@requires(Verb.DISPOSE)
def utilisation_end(request: HttpRequest) -> HttpResponse:
    """State the end of utilisation under a paper."""
    paper = asked_paper(request.GET.get("paper", ""))
    if paper is None:
        messages.warning(request, _("Choose the paper in this list."))
        return redirect("audit:keeping")
    check_readable(paper, request.user)
    form = EndForm(posted(request))
    if form.is_valid():
        told = form.cleaned_data
        try:
            actions.state_end(paper=paper, ended_on=told["ended_on"], evidence=told["evidence"],
                              by=person_of(request), today=timezone.localdate())  # fmt: skip
        except AuditError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("%(paper)s: the end of utilisation is stated; its period of keeping runs.")
                             % {"paper": paper.reference})  # fmt: skip
            return redirect("audit:keeping")
    context = {"form": form, "paper": paper, "kept": kept_paper(paper, timezone.localdate())}
    return render(request, "audit/keeping_end.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.DISPOSE)
def utilisation_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the statement back."""
    end = get_object_or_404(UtilisationEnd.objects.select_related("paper", "recorded_by"), pk=pk)
    check_readable(end.paper, request.user)
    form = ReasonForm(posted(request))
    if form.is_valid():
        try:
            actions.withdraw_end(of=end, why=form.cleaned_data["why"], by=person_of(request))
        except AuditError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("%(paper)s: the statement is withdrawn; utilisation is open again.")
                             % {"paper": end.paper.reference})  # fmt: skip
            return redirect("audit:keeping")
    return render(request, "audit/keeping_withdraw.html", {"form": form, "end": end}, status=form.status)
