"""Deposits in the country: their list, its files, and the pages of one."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_GET, require_http_methods

from accessions.people.access import Verb, is_open_to, person_of, requires
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.duties.actions import deposits as actions
from governance.duties.actions.benefits import newest_seen
from governance.duties.actions.errors import DutyError
from governance.duties.forms.benefits import VoidForm
from governance.duties.forms.deposits import DepositFilterForm, DepositForm
from governance.duties.models import BenefitPromise, Deposit
from governance.duties.queries.deposits import counts, deposit_page, history_of, share_of, shares_of_papers
from governance.duties.queries.ledger import DEPOSIT_HEADER, deposit_file, deposit_rows, shown_deposits
from governance.duties.queries.picks import asked_row, picks
from governance.duties.views.benefits import file_answer
from governance.papers.models import Paper
from governance.papers.restriction import check_readable
from governance.usedesk.actions.letters import received
from governance.usedesk.models import MadeUse


@require_GET
@requires(Verb.READ)
def deposits(request: HttpRequest) -> HttpResponse:
    """All deposits, with the share of the material of each paper on the page."""
    form = DepositFilterForm(request.GET)
    wanted = form.wanted()
    context = paged(request, deposit_rows(wanted, request.user))
    lines = shown_deposits(list(context["page"].object_list), request.user)
    papers = {one.line.deposit.paper for one in lines if one.line.deposit.paper}
    found = shares_of_papers([paper.pk for paper in papers])
    context |= {
        "form": form, "wanted": wanted, "lines": lines, "asked": request.GET.urlencode(),
        "is_narrowed": any(vars(wanted).values()),
        "shares": [(paper, found[paper.pk]) for paper in sorted(papers, key=str)],
    }  # fmt: skip
    return render(request, "duties/deposits.html", context | picks("papers"))


@require_GET
@requires(Verb.EXPORT)
def deposits_export(request: HttpRequest, form: str) -> HttpResponseBase:
    """The same as a file."""
    rows = deposit_file(DepositFilterForm(request.GET).wanted(), request.user)
    return file_answer("deposits", _("Deposits"), form, DEPOSIT_HEADER, rows)


def _deposit(request: HttpRequest, pk: int) -> Deposit:
    found = get_object_or_404(deposit_page(pk))
    if found.paper is not None:
        check_readable(found.paper, request.user)
    return found


@require_GET
@requires(Verb.READ)
def deposit(request: HttpRequest, pk: int) -> HttpResponse:
    """One deposit, with the share of its paper."""
    found = _deposit(request, pk)
    context = {
        "deposit": found, "changes": history_of(found), "is_counted": counts(found),
        "share": share_of(found.paper) if found.paper else None,
        "scan_is_open": found.scan is None or is_open_to(request.user, found.scan.open_to),
    }  # fmt: skip
    return render(request, "duties/deposit.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def deposit_new(request: HttpRequest) -> HttpResponse:
    """Enter a deposit: ``?use=3`` from an entry of uses, ``?promise=3`` for a promise."""
    use = asked_row(request.GET.get("use", ""), MadeUse.objects.select_related("recipient"))
    promised = asked_row(request.GET.get("promise", ""), BenefitPromise.objects.select_related("paper"))
    if promised is not None and promised.paper is not None:
        check_readable(promised.paper, request.user)
    initial = _initial(use, promised)
    form = DepositForm(posted(request), request.FILES or None, person=request.user, use=use, initial=initial)
    if form.is_valid():
        made = _entered(request, form)
        if made is not None:
            messages.success(request, _("The deposit was entered."))
            return redirect("duties:deposit", made.pk)
    return _form_page(request, form, {"deposit": None})


def _initial(use: MadeUse | None, promised: BenefitPromise | None) -> dict[str, Any]:
    found: dict[str, Any] = {"on": timezone.localdate()}
    if promised is not None:
        paper: Paper | None = promised.paper
        country = promised.country or (paper.jurisdiction[:2] if paper else "")
        found |= {"promise": str(promised.pk), "paper": paper, "country": country}
    if use is not None:
        found |= {"use": str(use.pk), "on": use.on}
        if use.recipient is not None:
            found |= {"depository": use.recipient.name}
            found |= {"country": use.recipient.country} if use.recipient.country else {}
    return found


def _entered(request: HttpRequest, form: DepositForm) -> Deposit | None:
    by = person_of(request)
    try:
        scan = received(form.cleaned_data.get("letter"), field="letter", by=by, why=gettext_noop("of a deposit"))
        return actions.add_deposit(by=by, why=form.why, scan=scan, **form.values())
    except ValidationError as error:
        form.refuse(error)
    except DutyError as error:
        form.add_error(None, str(error))
    return None


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def deposit_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a deposit, or add its receipt."""
    found = _deposit(request, pk)
    initial = {"seen": newest_seen(found), "promise": str(found.promise_id or ""), "use": str(found.use_id or "")}
    form = DepositForm(
        posted(request), request.FILES or None, person=request.user, instance=found, initial=initial
    )  # fmt: skip
    if form.is_valid():
        changed = _corrected(request, form, found)
        if changed is not None:
            messages.success(request, _("The deposit was changed.") if changed else _("Nothing was changed."))
            return redirect("duties:deposit", pk)
    return _form_page(request, form, {"deposit": found})


def _corrected(request: HttpRequest, form: DepositForm, found: Deposit) -> list[str] | None:
    by, values = person_of(request), form.values()
    try:
        if letter := form.cleaned_data.get("letter"):
            values["scan"] = received(letter, field="letter", by=by, why=form.why)
        return actions.edit_deposit(found, by=by, why=form.why, seen=form.cleaned_data["seen"], **values)
    except ValidationError as error:
        form.refuse(error)
    except DutyError as error:
        form.add_error(None, str(error))
    return None


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def deposit_void(request: HttpRequest, pk: int) -> HttpResponse:
    """Void a deposit that was entered by mistake."""
    found = _deposit(request, pk)
    form = VoidForm(posted(request))
    if form.is_valid():
        try:
            actions.void_deposit(found, by=person_of(request), why=form.cleaned_data["why"])
        except DutyError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The deposit was voided; it stays to be read."))
            return redirect("duties:deposit", pk)
    return render(request, "duties/deposit_void.html", {"form": form, "deposit": found}, status=form.status)


def _form_page(request: HttpRequest, form: DepositForm, context: dict[str, Any]) -> HttpResponse:
    offered = picks("papers", "countries")
    return render(request, "duties/deposit_form.html", {"form": form, **context, **offered}, status=form.status)
