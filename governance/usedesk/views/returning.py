"""Loans that come back, and loans that last longer."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.usedesk.actions import returning as actions
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.making import newest_seen
from governance.usedesk.deeds import LOANS
from governance.usedesk.forms.returning import DueForm, ReturnForm, UndoForm
from governance.usedesk.models import LoanReturn, MadeUse
from governance.usedesk.queries.one_use import items_of, loan_counts, use_of


def _loan(pk: int) -> MadeUse:
    return get_object_or_404(use_of(pk), deed__in=LOANS)


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_USES)
def loan_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Something of a loan came back; what is still out is said."""
    loan = _loan(pk)
    form = ReturnForm(posted(request), loan=loan, initial={"on": timezone.localdate()})
    if form.is_valid():
        told = form.cleaned_data
        try:
            actions.take_back(
                loan, form.ids, on=told["on"], note=told["note"], by=person_of(request), why=gettext_noop("came back")
            )
        except DeskError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _said(loan, len(form.ids)))
            return redirect("usedesk:use", pk)
    context = paged(request, items_of(loan, request.GET.get("q", ""), "out"))
    context |= {"form": form, "made": loan, "loan": loan_counts(loan), "ticked": form.ticked}
    return render(request, "usedesk/loan_return.html", context, status=form.status)


def _said(loan: MadeUse, n: int) -> str:
    counted = loan_counts(loan)
    said = ngettext("%(n)d specimen came back.", "%(n)d specimens came back.", n) % {"n": n}
    if counted is None or not counted.out:
        return said + " " + _("Nothing of the loan is out any more.")
    more = ngettext("%(n)d specimen is still out", "%(n)d specimens are still out", counted.out) % {"n": counted.out}
    if loan.due_on is None:
        return f"{said} {more}."
    return said + " " + _("%(more)s, due on %(day)s.") % {"more": more, "day": date_format(loan.due_on, "j F Y")}


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_USES)
def return_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back a return that was recorded by mistake."""
    back = get_object_or_404(LoanReturn.objects.select_related("use"), pk=pk)
    form = UndoForm(posted(request))
    if form.is_valid():
        loan = back.use_id
        try:
            actions.undo_return(back, by=person_of(request), why=form.cleaned_data["why"])
        except DeskError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The return was taken back; its specimens are out again."))
            return redirect("usedesk:use", loan)
    context = {"form": form, "made": back.use, "back": back, "count": back.items.count()}
    return render(request, "usedesk/return_undo.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_USES)
def loan_due(request: HttpRequest, pk: int) -> HttpResponse:
    """Move the day on which a loan is due."""
    loan = _loan(pk)
    form = DueForm(posted(request), initial={"due_on": loan.due_on, "seen": newest_seen(loan)})
    if form.is_valid():
        told = form.cleaned_data
        try:
            actions.extend(loan, due_on=told["due_on"], by=person_of(request), why=told["why"], seen=told["seen"])
        except ValidationError as error:
            form.refuse(error)
        except DeskError as error:
            form.add_error(None, str(error))
        else:
            day = date_format(told["due_on"], "j F Y")
            messages.success(request, _("The loan is due on %(day)s.") % {"day": day})
            return redirect("usedesk:use", pk)
    context = {"form": form, "made": loan, "loan": loan_counts(loan)}
    return render(request, "usedesk/loan_due.html", context, status=form.status)
