"""All duties: the list, its files, and what is done to several at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.duties.actions import doing
from governance.duties.actions.errors import DutyError
from governance.duties.forms.doing import AssignForm, SeveralDoneForm
from governance.duties.forms.listing import DutyFilterForm
from governance.duties.models import Duty
from governance.duties.queries.listing import HEADER, WIDTHS, ahead_days, chosen, counts, duties, file_rows, lines
from governance.duties.queries.marks import is_behind
from governance.duties.queries.today import numbers
from governance.duties.words import STATES
from governance.verdicts.export_files import workbook_file

WORKBOOK: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@require_GET
@requires(Verb.READ)
def duty_list(request: HttpRequest) -> HttpResponse:
    """All duties, narrowed and ordered as asked."""
    today, ahead = timezone.localdate(), ahead_days()
    form = DutyFilterForm(request.GET)
    wanted, reader = form.wanted(), request.user
    context = paged(request, duties(wanted, reader, today, ahead))
    found = counts(wanted, reader, today, ahead)
    context |= {
        "form": form, "wanted": wanted, "today": today, "asked": request.GET.urlencode(),
        "lines": lines(list(context["page"].object_list), reader), "numbers": numbers(Duty.objects.all(), today, ahead),
        "tabs": [(state.value, name, found[state]) for state, name in STATES.items()], "all_count": sum(found.values()),
        "without_state": _without_state(request), "is_behind": is_behind(), "has_any": Duty.objects.exists(),
    }  # fmt: skip
    return render(request, "duties/duties.html", context)


def _without_state(request: HttpRequest) -> str:
    rest = request.GET.copy()
    for name in ("state", "page"):
        rest.pop(name, None)
    return rest.urlencode()


@require_GET
@requires(Verb.EXPORT)
def duties_export(request: HttpRequest, form: str) -> StreamingHttpResponse | FileResponse:
    """The same list as CSV, or as a workbook."""
    rows = file_rows(DutyFilterForm(request.GET).wanted(), request.user, timezone.localdate())
    if form == "csv":
        return csv_answer("duties.csv", HEADER, rows)
    if form != "xlsx":
        raise Http404(form)
    file = workbook_file(_("Duties"), HEADER, WIDTHS, rows)
    return FileResponse(file, as_attachment=True, filename="duties.xlsx", content_type=WORKBOOK)


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def duties_done(request: HttpRequest) -> HttpResponse:
    """Several duties were done by one deed: the page shows them, and takes the proof."""
    form = SeveralDoneForm(
        posted(request), request.FILES or None, person=request.user, initial={"on": timezone.localdate()}
    )
    found = _chosen(request)
    if form.is_valid():
        told = form.cleaned_data
        try:
            done = doing.mark_several_done(
                duties=found, on=told["on"], how=told["how"], letter=told.get("letter"), by=person_of(request)
            )
        except DutyError as error:
            form.add_error(None, str(error))
        except ValidationError as error:
            form.refuse(error)
        else:
            said = ngettext("%(n)d duty is marked as done.", "%(n)d duties are marked as done.", len(done))
            messages.success(request, said % {"n": len(done)})
            return redirect("duties:duties")
    return _several(request, "duties/duties_done.html", form, found)


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_DUTIES)
def duties_assign(request: HttpRequest) -> HttpResponse:
    """Give several duties to somebody."""
    form, found = AssignForm(posted(request)), _chosen(request)
    if form.is_valid():
        try:
            changed = doing.assign(duties=found, to=form.person, by=person_of(request))
        except DutyError as error:
            form.add_error(None, str(error))
        else:
            said = ngettext("%(n)d duty changed hands.", "%(n)d duties changed hands.", changed) % {"n": changed}
            messages.success(request, said)
            return redirect("duties:duties")
    return _several(request, "duties/duties_assign.html", form, found)


def _chosen(request: HttpRequest) -> Sequence[Duty]:
    """The duties that are ticked; keys that make no sense name none."""
    texts = (request.POST if request.method == "POST" else request.GET).getlist("pick")
    keys = {int(text) for text in texts if text.isascii() and text.isdigit() and len(text) < 19}
    return list(chosen(keys, timezone.localdate()))


def _several(request: HttpRequest, template: str, form: Any, found: Sequence[Duty]) -> HttpResponse:
    context = {"form": form, "lines": lines(found, request.user), "today": timezone.localdate()}
    return render(request, template, context, status=form.status)
