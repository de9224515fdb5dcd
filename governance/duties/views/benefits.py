"""Benefits: the ledger of what was promised and given, its files, and the pages of a promise and of a gift."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_GET, require_http_methods

from accessions.people.access import Verb, is_open_to, person_of, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.duties.actions import benefits as actions
from governance.duties.actions.errors import DutyError
from governance.duties.forms.benefits import (
    CloseForm,
    GivenFilterForm,
    GivenForm,
    LedgerForm,
    PromiseForm,
    VoidForm,
)
from governance.duties.models import BenefitGiven, BenefitPromise
from governance.duties.queries.benefits import (
    given_of,
    history_of_given,
    history_of_promise,
    promise_lines,
    promise_of,
)
from governance.duties.queries.deposits import lines as deposit_lines
from governance.duties.queries.deposits import with_count
from governance.duties.queries.ledger import (
    GIVEN_HEADER,
    PROMISE_HEADER,
    given_file,
    given_rows,
    ledger,
    promise_file,
    shown,
)
from governance.duties.queries.picks import asked_row, picks
from governance.papers.models import Paper
from governance.papers.restriction import check_readable
from governance.usedesk.actions.letters import received
from governance.verdicts.export_files import workbook_file

WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@require_GET
@requires(Verb.READ)
def benefits(request: HttpRequest) -> HttpResponse:
    """The ledger: promises against what was given, narrowed and ordered as asked."""
    today, form = timezone.localdate(), LedgerForm(request.GET)
    wanted = form.wanted()
    found = ledger(wanted, request.user, today)
    context = paged(request, found.promises)
    context |= {
        "form": form, "wanted": wanted, "found": found, "lines": list(context["page"].object_list), "today": today,
        "asked": request.GET.urlencode(), "is_narrowed": any(vars(wanted).values()),
    }  # fmt: skip
    return render(request, "duties/benefits.html", context | picks("papers"))


@require_GET
@requires(Verb.EXPORT)
def benefits_export(request: HttpRequest, form: str) -> HttpResponseBase:
    """The ledger as a file."""
    rows = promise_file(LedgerForm(request.GET).wanted(), request.user, timezone.localdate())
    return file_answer("benefits", _("Benefits"), form, PROMISE_HEADER, rows)


@require_GET
@requires(Verb.READ)
def given_list(request: HttpRequest) -> HttpResponse:
    """All that was given, with and without a promise."""
    form = GivenFilterForm(request.GET)
    wanted = form.wanted()
    context = paged(request, given_rows(wanted, request.user))
    context |= {
        "form": form, "wanted": wanted, "asked": request.GET.urlencode(), "is_narrowed": any(vars(wanted).values()),
        "lines": shown(list(context["page"].object_list), request.user),
    }  # fmt: skip
    return render(request, "duties/benefits_given.html", context | picks("papers"))


@require_GET
@requires(Verb.EXPORT)
def given_export(request: HttpRequest, form: str) -> HttpResponseBase:
    """The same as a file."""
    rows = given_file(GivenFilterForm(request.GET).wanted(), request.user)
    return file_answer("benefits-given", _("Given"), form, GIVEN_HEADER, rows)


def file_answer(name: str, title: str, form: str, header: Any, rows: Any) -> HttpResponseBase:
    """Rows as CSV or as a workbook.

    Raises:
        Http404: another form of file.
    """
    if form == "csv":
        return csv_answer(f"{name}.csv", header, rows)
    if form != "xlsx":
        raise Http404
    file = workbook_file(title, header, [18] * len(header), rows)
    return FileResponse(file, as_attachment=True, filename=f"{name}.xlsx", content_type=WORKBOOK)


# Promises -------------------------------------------------------------------------------------------------------------


def _promise(request: HttpRequest, pk: int) -> BenefitPromise:
    found = get_object_or_404(promise_of(pk))
    if found.paper is not None:
        check_readable(found.paper, request.user)
    return found


@require_GET
@requires(Verb.READ)
def promise(request: HttpRequest, pk: int) -> HttpResponse:
    """One promise: how much, by when, and what was given for it."""
    found, today = _promise(request, pk), timezone.localdate()
    (line,) = promise_lines([found], today)
    context = {
        "promise": found, "line": line, "today": today, "changes": history_of_promise(found),
        "given": list(found.given.select_related("paper").order_by("voided_at", "-on", "-pk")),
        "deposits": deposit_lines(with_count(found.deposits.all())),
    }  # fmt: skip
    return render(request, "duties/benefit_promise.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def promise_new(request: HttpRequest) -> HttpResponse:
    """Enter a promise: ``?paper=3`` of a paper."""
    paper = asked_row(request.GET.get("paper", ""), Paper.objects.all())
    if paper is not None:
        check_readable(paper, request.user)
    form = PromiseForm(posted(request), initial={"paper": paper} if paper else None)
    if form.is_valid():
        try:
            made = actions.add_promise(by=person_of(request), why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("The promise was entered."))
            return redirect("duties:promise", made.pk)
    return _form_page(request, "duties/benefit_promise_form.html", form, {"promise": None, "paper": paper})


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def promise_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a promise."""
    found = _promise(request, pk)
    form = PromiseForm(posted(request), instance=found, initial={"seen": actions.newest_seen(found)})
    if form.is_valid():
        by, seen = person_of(request), form.cleaned_data["seen"]
        try:
            changed = actions.edit_promise(found, by=by, why=form.why, seen=seen, **form.values())
        except ValidationError as error:
            form.refuse(error)
        except DutyError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The promise was changed.") if changed else _("Nothing was changed."))
            return redirect("duties:promise", pk)
    return _form_page(request, "duties/benefit_promise_form.html", form, {"promise": found})


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def promise_close(request: HttpRequest, pk: int) -> HttpResponse:
    """Close a promise for a reason, or take it up again."""
    found = _promise(request, pk)
    is_open = found.closed_at is None
    form = CloseForm(posted(request))
    if form.is_valid():
        act = actions.close_promise if is_open else actions.take_up_again
        try:
            act(found, by=person_of(request), why=form.cleaned_data["why"])
        except DutyError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The promise was closed.") if is_open else _("The promise is open again."))
            return redirect("duties:promise", pk)
    (line,) = promise_lines([found], timezone.localdate())
    context = {"form": form, "promise": found, "is_open": is_open, "line": line}
    return render(request, "duties/benefit_promise_close.html", context, status=form.status)


# Gifts ----------------------------------------------------------------------------------------------------------------


def _given(request: HttpRequest, pk: int) -> BenefitGiven:
    found = get_object_or_404(given_of(pk))
    if found.paper is not None:
        check_readable(found.paper, request.user)
    return found


@require_GET
@requires(Verb.READ)
def given(request: HttpRequest, pk: int) -> HttpResponse:
    """One entry of what was given."""
    found = _given(request, pk)
    context = {
        "given": found, "changes": history_of_given(found),
        "scan_is_open": found.scan is None or is_open_to(request.user, found.scan.open_to),
    }  # fmt: skip
    return render(request, "duties/benefit_given.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def given_new(request: HttpRequest) -> HttpResponse:
    """Enter what was given: ``?promise=3`` for a promise."""
    promised = asked_row(request.GET.get("promise", ""), BenefitPromise.objects.select_related("paper"))
    if promised is not None and promised.paper is not None:
        check_readable(promised.paper, request.user)
    initial = {"on": timezone.localdate()} | (_of_promise(promised) if promised else {})
    form = GivenForm(posted(request), request.FILES or None, person=request.user, initial=initial)
    if form.is_valid():
        made = _entered(request, form)
        if made is not None:
            messages.success(request, _("What was given was entered."))
            return redirect("duties:promise", made.promise_id) if made.promise_id else redirect("duties:given", made.pk)
    return _form_page(request, "duties/benefit_given_form.html", form, {"given": None, "promise": promised})


def _of_promise(promised: BenefitPromise) -> dict[str, Any]:
    names = ("code", "beneficiary", "country", "currency", "unit", "paper")
    return {name: getattr(promised, name) for name in names} | {"promise": str(promised.pk)}


def _entered(request: HttpRequest, form: GivenForm) -> BenefitGiven | None:
    by = person_of(request)
    try:
        scan = received(form.cleaned_data.get("letter"), field="letter", by=by, why=gettext_noop("of a benefit"))
        return actions.add_given(by=by, why=form.why, scan=scan, **form.values())
    except ValidationError as error:
        form.refuse(error)
    except DutyError as error:
        form.add_error(None, str(error))
    return None


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def given_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct what was given."""
    found = _given(request, pk)
    form = GivenForm(
        posted(request), request.FILES or None, person=request.user, instance=found,
        initial={"seen": actions.newest_seen(found), "promise": str(found.promise_id or "")},
    )  # fmt: skip
    if form.is_valid():
        changed = _corrected(request, form, found)
        if changed is not None:
            messages.success(request, _("The entry was changed.") if changed else _("Nothing was changed."))
            return redirect("duties:given", pk)
    return _form_page(request, "duties/benefit_given_form.html", form, {"given": found})


def _corrected(request: HttpRequest, form: GivenForm, found: BenefitGiven) -> list[str] | None:
    by, values = person_of(request), form.values()
    try:
        if letter := form.cleaned_data.get("letter"):
            values["scan"] = received(letter, field="letter", by=by, why=form.why)
        return actions.edit_given(found, by=by, why=form.why, seen=form.cleaned_data["seen"], **values)
    except ValidationError as error:
        form.refuse(error)
    except DutyError as error:
        form.add_error(None, str(error))
    return None


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def given_void(request: HttpRequest, pk: int) -> HttpResponse:
    """Void an entry that was made by mistake."""
    found = _given(request, pk)
    form = VoidForm(posted(request))
    if form.is_valid():
        try:
            actions.void_given(found, by=person_of(request), why=form.cleaned_data["why"])
        except DutyError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The entry was voided; it stays to be read."))
            return redirect("duties:given", pk)
    return render(request, "duties/benefit_given_void.html", {"form": form, "given": found}, status=form.status)


def _form_page(request: HttpRequest, template: str, form: Any, context: dict[str, Any]) -> HttpResponse:
    offered = picks("papers", "countries", "currencies")
    return render(request, template, {"form": form, **context, **offered}, status=form.status)
