"""A use recorded, corrected, voided."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.usedesk.actions import making as actions
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.letters import received
from governance.usedesk.deeds import FOR_GOOD, LOANS, Deed
from governance.usedesk.forms.making import CONSEQUENCES, UseEditForm, UseForm, VoidForm, edit_initial
from governance.usedesk.models import MadeUse, UseRequest
from governance.usedesk.queries.judging import Told, judged
from governance.usedesk.queries.one_use import use_of


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_USES)
def use_new(request: HttpRequest, deed: str) -> HttpResponseBase:
    """Record a use: ``?request=3`` takes the specimens that may go by a request, ``?loan=5`` those out on a loan."""
    if deed not in MadeUse.Deed.values:
        raise Http404
    return _recording(request, deed, _asked(request, "request", UseRequest.objects.all()), _asked_loan(request))


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_USES)
def retention(request: HttpRequest, pk: int) -> HttpResponseBase:
    """The borrower keeps some of a loan: it changes hands for good."""
    return _recording(request, Deed.RETENTION, None, get_object_or_404(MadeUse, pk=pk, deed__in=LOANS))


def _asked(request: HttpRequest, name: str, rows: Any) -> Any:
    text = request.GET.get(name, "")
    is_key = text.isascii() and text.isdigit() and len(text) < 19
    return rows.filter(pk=int(text)).first() if is_key else None


def _asked_loan(request: HttpRequest) -> MadeUse | None:
    found: MadeUse | None = _asked(request, "loan", MadeUse.objects.filter(deed__in=LOANS))
    return found


def _recording(
    request: HttpRequest, deed: str, by_request: UseRequest | None, loan: MadeUse | None
) -> HttpResponseBase:
    form = UseForm(
        posted(request), request.FILES or None, deed=deed, person=request.user, request=by_request, loan=loan,
        initial=_initial(deed, by_request, loan),
    )  # fmt: skip
    looked = None
    if form.is_valid():
        if "look" in request.POST:
            looked = _looked(form)
        elif (made := _recorded(request, form)) is not None:
            messages.success(request, _said(made))
            return redirect("usedesk:use", made.pk)
    context = {
        "form": form, "deed": deed, "deed_name": Deed(deed).label, "loan": loan, "by_request": by_request,
        "consequence": CONSEQUENCES.get(Deed(deed), ""), "looked": looked, "for_good": deed in FOR_GOOD,
    }  # fmt: skip
    return render(request, "usedesk/use_form.html", context, status=form.status)


def _initial(deed: str, by_request: UseRequest | None, loan: MadeUse | None) -> dict[str, Any]:
    start: dict[str, Any] = {"on": timezone.localdate()}
    if by_request is not None:
        start |= {"request_number": by_request.reference, "recipient": by_request.recipient_id}
        start["due_on"] = by_request.ends_on if deed in LOANS else None
    if loan is not None:
        start |= {"loan_number": loan.reference or f"#{loan.pk}"}
        start |= {"recipient": loan.recipient_id} if deed in (Deed.RETENTION, Deed.SAMPLING) else {}
        start |= {"request_number": loan.request.reference, "of_request": "none"} if loan.request else {}
        start |= {"of_loan": "none" if deed in (Deed.RETENTION, Deed.SAMPLING, Deed.LOSS) else "out"}
    return start


def _looked(form: UseForm) -> dict[str, Any]:
    """What the desk says of it, before anything is saved."""
    values = form.values()
    facts = {name: values[name] for name in ("commercial", "identification_only", "parts") if name in values}
    told = Told(
        form.deed, form.cleaned_data["on"], form.chosen_use, values["recipient"], values["request"], **facts
    )  # fmt: skip
    answers = judged(form.ids, told)
    return {"counts": answers.counted(), "count": len(form.ids), "use": answers.use, "asked": bool(answers.uses)}


def _recorded(request: HttpRequest, form: UseForm) -> MadeUse | None:
    """The entry; None where it was refused, with the reasons on the form."""
    by, values = person_of(request), form.values()
    try:
        values["scan"] = received(form.cleaned_data.get("letter"), field="letter", by=by, why=gettext_noop("of a use"))
        return actions.record_use(
            deed=form.deed, ids=form.ids, taken=form.taken(), by=by, why=gettext_noop("recorded"), **values
        )
    except ValidationError as error:
        form.refuse(error)
    except DeskError as error:
        form.add_error(None, str(error))
    return None


def _said(made: MadeUse) -> str:
    n = made.items.count()
    words = ngettext("Recorded: %(deed)s, %(n)d specimen.", "Recorded: %(deed)s, %(n)d specimens.", n)
    said = words % {"deed": made.get_deed_display(), "n": n}
    if made.is_outside:
        said += " " + _("Not within the terms as known on that day: it is marked, and a remedy was opened.")
    return said


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_USES)
def use_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct what was written of a use."""
    made = get_object_or_404(use_of(pk))
    initial = edit_initial(made) | {"seen": actions.newest_seen(made)}
    form = UseEditForm(posted(request), request.FILES or None, deed=made.deed, person=request.user, initial=initial)
    if form.is_valid():
        changed = _edited(request, form, made)
        if changed is not None:
            messages.success(request, _("The entry was changed.") if changed else _("Nothing was changed."))
            return redirect("usedesk:use", pk)
    context = {"form": form, "made": made, "deed_name": made.get_deed_display()}
    return render(request, "usedesk/use_edit.html", context, status=form.status)


def _edited(request: HttpRequest, form: UseEditForm, made: MadeUse) -> list[str] | None:
    by, why, told = person_of(request), form.cleaned_data["why"], form.face_values()
    values = {name: value for name, value in told.items() if name in form.changed_data}
    try:
        if letter := form.cleaned_data.get("letter"):
            values["scan"] = received(letter, field="letter", by=by, why=why)
        return actions.edit_use(made, by=by, why=why, seen=form.cleaned_data["seen"], use=form.chosen_use, **values)
    except ValidationError as error:
        form.refuse(error)
    except DeskError as error:
        form.add_error(None, str(error))
    return None


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_USES)
def use_void(request: HttpRequest, pk: int) -> HttpResponse:
    """Void an entry that was made by mistake."""
    made = get_object_or_404(use_of(pk))
    form = VoidForm(posted(request))
    if form.is_valid():
        try:
            actions.void_use(made, by=person_of(request), why=form.cleaned_data["why"])
        except DeskError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The entry was voided; it stays to be read."))
            return redirect("usedesk:use", pk)
    context = {"form": form, "made": made, "count": made.items.count()}
    return render(request, "usedesk/use_void.html", context, status=form.status)
