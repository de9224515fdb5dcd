"""What is done about uses that are not within the terms as known."""

from __future__ import annotations

from datetime import timedelta

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_GET, require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.changes import changes_of
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.papers.restriction import check_readable
from governance.usedesk.actions import remedies as actions
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.making import REMEDY_DAYS
from governance.usedesk.forms.remedies import EndForm, RemedyForm
from governance.usedesk.forms.returning import UndoForm
from governance.usedesk.models import Remedy
from governance.usedesk.queries.made import counts
from governance.usedesk.queries.one_use import use_of
from governance.usedesk.queries.overdue import remedies as found_remedies
from governance.usedesk.queries.overdue import remedy_lines


@require_GET
@requires(Verb.READ)
def remedy_list(request: HttpRequest) -> HttpResponse:
    """Remedies of all uses, the open ones by their day."""
    show = "ended" if request.GET.get("show") == "ended" else "open"
    today = timezone.localdate()
    context = paged(request, found_remedies(show=show, q=request.GET.get("q", "")[:200]))
    context |= {
        "lines": remedy_lines(list(context["page"].object_list), request.user, today), "show": show, "today": today,
        "counts": counts(today), "q": request.GET.get("q", "")[:200],
    }  # fmt: skip
    return render(request, "usedesk/remedies.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_USES)
def remedy_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Open a remedy of a use."""
    made = get_object_or_404(use_of(pk))
    start = {"due_on": timezone.localdate() + timedelta(REMEDY_DAYS)}
    form = RemedyForm(posted(request), made=made, reader=request.user, is_new=True, initial=start)
    if form.is_valid():
        try:
            actions.add_remedy(made, by=person_of(request), why=gettext_noop("opened"), **form.values())
        except ValidationError as error:
            form.refuse(error)
        except DeskError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The remedy was opened."))
            return redirect("usedesk:use", pk)
    return render(request, "usedesk/remedy_form.html", {"form": form, "made": made}, status=form.status)


def _remedy(request: HttpRequest, pk: int) -> Remedy:
    """The remedy, for readers of its paper.

    Raises:
        RestrictedPaperError: says who may read it.
    """
    found = get_object_or_404(Remedy.objects.select_related("use__recipient", "paper", "opened_by", "done_by"), pk=pk)
    if found.paper is not None:
        check_readable(found.paper, request.user)
    return found


@require_GET
@requires(Verb.READ)
def remedy(request: HttpRequest, pk: int) -> HttpResponse:
    """One remedy: what is to be done, and how it ended."""
    found = _remedy(request, pk)
    context = {
        "remedy": found, "made": found.use, "changes": changes_of(Remedy, id=pk),
        "today": timezone.localdate(),
    }  # fmt: skip
    return render(request, "usedesk/remedy.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_USES)
def remedy_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct what is to be done, or by when."""
    found = _remedy(request, pk)
    initial = {"what": found.what, "due_on": found.due_on, "paper": found.paper_id or ""}
    form = RemedyForm(posted(request), made=found.use, reader=request.user, initial=initial)
    if form.is_valid():
        values = {name: value for name, value in form.values().items() if name in form.changed_data}
        try:
            changed = actions.edit_remedy(found, by=person_of(request), why=form.cleaned_data["why"], **values)
        except ValidationError as error:
            form.refuse(error)
        except DeskError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The remedy was changed.") if changed else _("Nothing was changed."))
            return redirect("usedesk:remedy", pk)
    context = {"form": form, "made": found.use, "remedy": found}
    return render(request, "usedesk/remedy_form.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_USES)
def remedy_end(request: HttpRequest, pk: int) -> HttpResponse:
    """Record how a remedy ended, or take it up again."""
    found = _remedy(request, pk)
    is_open = found.done_on is None
    form = EndForm(posted(request), initial={"done_on": timezone.localdate()}) if is_open else UndoForm(posted(request))
    if form.is_valid() and _ended(request, found, form):
        words = _("The remedy ended.") if is_open else _("The remedy is open again.")
        messages.success(request, words)
        return redirect("usedesk:remedy", pk)
    context = {"form": form, "made": found.use, "remedy": found, "is_open": is_open}
    return render(request, "usedesk/remedy_end.html", context, status=form.status)


def _ended(request: HttpRequest, found: Remedy, form: EndForm | UndoForm) -> bool:
    by, told = person_of(request), form.cleaned_data
    try:
        if isinstance(form, EndForm):
            actions.end_remedy(found, done_on=told["done_on"], done_how=told["done_how"], by=by)
        else:
            actions.take_up_again(found, by=by, why=told["why"])
    except DeskError as error:
        form.add_error(None, str(error))
        return False
    return True
