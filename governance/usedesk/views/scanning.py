"""The scan page: a field for a reader that types, what came of each code, and where its script sends them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from django.contrib import messages
from django.core.exceptions import BadRequest, ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from accessions.people.access import Verb, person_of, requires
from accessions.people.csv_answers import csv_answer
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.scanning import Read, choose, look_again, scan_codes, take_out_again
from governance.usedesk.forms.scanning import Entry, ScanForm, entries_of
from governance.usedesk.models import ScanLine, UseRequest
from governance.usedesk.queries.codes import read_code
from governance.usedesk.queries.scanned import (
    SENTENCES,
    ShownLine,
    export_lines,
    last_lines,
    last_of,
    open_lines,
    shown,
    tally,
)


@never_cache
@require_http_methods(["GET", "POST"])
@requires(Verb.TAKE_REQUESTS)
def request_scan(request: HttpRequest, pk: int) -> HttpResponse:
    """The page. Without script every code is sent by itself, and the page comes back with the field in focus."""
    found = get_object_or_404(UseRequest, pk=pk)
    if request.method == "POST":
        try:
            _take(request, found)
        except DeskError as error:
            messages.error(request, str(error))
        return redirect("usedesk:request-scan", pk)
    return render(request, "usedesk/scan.html", _page(request, found))


def _page(request: HttpRequest, found: UseRequest) -> dict[str, Any]:
    house = request.get_host()
    lines = last_lines(found)
    waiting = open_lines(found)
    each = {line.key: line for line in [*lines, *waiting]}
    by_key = {one.line.key: one for one in shown(found, list(each.values()), house)}
    last = last_of(found, person_of(request))
    return {
        "found": found, "form": ScanForm(), "tally": tally(found), "lines": [by_key[line.key] for line in lines],
        "waiting": [by_key[line.key] for line in waiting], "undoable": last.key if last else "",
        "takes": found.closed_at is None and found.answered_at is None,
    }  # fmt: skip


def _take(request: HttpRequest, found: UseRequest) -> None:
    """What a button or the field of the plain page asks for."""
    sent, who, house = request.POST, person_of(request), request.get_host()
    if any("\0" in text for text in (sent.get("line", ""), sent.get("undo", ""))):  # which PostgreSQL takes in no text
        raise BadRequest("line, undo: the key of a line was expected")
    if "again" in sent:
        messages.success(request, _known_now(look_again(request=found, house=house, by=who)))
    elif "choose" in sent:
        specimen = int(sent["choose"]) if sent["choose"].isdecimal() and len(sent["choose"]) < 19 else 0
        choose(request=found, key=sent.get("line", ""), specimen=specimen, house=house, by=who)
    elif "undo" in sent:
        take_out_again(request=found, key=sent["undo"], by=who)
    else:
        _take_code(request, found)


def _take_code(request: HttpRequest, found: UseRequest) -> None:
    form = ScanForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("The code was not taken. Read it again."))
        return
    code = read_code(form.cleaned_data["code"], request.get_host())
    if code.is_undo:
        last = last_of(found, person_of(request))
        if last is not None:
            take_out_again(request=found, key=last.key, by=request.user)
    elif not code.is_blank:
        scan_codes(request=found, reads=[Read(form.line_key, code)], by=request.user)


def _known_now(count: int) -> str:
    return ngettext("%(n)d code is known now.", "%(n)d codes are known now.", count) % {"n": count}


@never_cache
@require_POST
@requires(Verb.TAKE_REQUESTS)
def request_scan_codes(request: HttpRequest, pk: int) -> HttpResponse:
    """Lines of the page's queue, as JSON. A line that was sent before is answered as before.

    409: the request takes nothing any more; 400: this is no queue. In both cases nothing was taken.
    """
    found = get_object_or_404(UseRequest, pk=pk)
    try:
        entries = entries_of(request.body)
        answers = list(_answers(request, found, entries))
    except ValidationError as error:
        return JsonResponse({"error": " ".join(error.messages)}, status=400)
    except DeskError as error:
        return JsonResponse({"error": str(error)}, status=409)
    return JsonResponse({"lines": answers, "tally": tally(found)})


def _answers(request: HttpRequest, found: UseRequest, entries: Sequence[Entry]) -> Iterator[dict[str, Any]]:
    """In the order of the queue: a line must be there before it can be taken out again."""
    for is_undo, some in groupby(entries, key=lambda entry: bool(entry.undo)):
        if is_undo:
            yield from (_undone(request, found, entry) for entry in some)
        else:
            yield from _taken(request, found, list(some))


def _taken(request: HttpRequest, found: UseRequest, entries: Sequence[Entry]) -> Iterator[dict[str, Any]]:
    house = request.get_host()
    codes = {entry.key: read_code(entry.code, house) for entry in entries}
    reads = [Read(key, code) for key, code in codes.items() if not code.is_blank]
    lines = scan_codes(request=found, reads=reads, by=request.user)
    yield from ({"key": key, "blank": True} for key, code in codes.items() if code.is_blank)
    for one in shown(found, lines, house):
        yield {"key": one.line.key} | _drawn(request, found, one)


def _undone(request: HttpRequest, found: UseRequest, entry: Entry) -> dict[str, Any]:
    try:
        line = take_out_again(request=found, key=entry.undo, by=request.user)
    except DeskError as error:
        return {"key": entry.key, "undo": entry.undo, "refused": str(error)}
    (one,) = shown(found, [line])
    return {"key": entry.key, "undo": entry.undo} | _drawn(request, found, one)


def _drawn(request: HttpRequest, found: UseRequest, one: ShownLine) -> dict[str, Any]:
    """A line as the page shows it, by the templates of the page, and as it is said aloud."""
    context = {"one": one, "found": found, "takes": True}
    return {
        "tone": one.tone,
        "said": one.said,
        "row": render_to_string("usedesk/_scan_row.html", context, request),
        "big": render_to_string("usedesk/_scan_big.html", context, request),
        "open": one.is_open,
    }


@require_GET
@requires(Verb.EXPORT)
def request_scan_export(request: HttpRequest, pk: int) -> HttpResponseBase:
    """All codes that were read, with what came of them; ``open=1``: those that still want a person."""
    found = get_object_or_404(UseRequest, pk=pk)
    lines = export_lines(found, only_open=request.GET.get("open") == "1")
    header = [_("Code as read"), _("What came of it"), _("Specimen"), _("Name"), _("Read at"), _("Read by")]
    return csv_answer(f"codes-{found.pk}.csv", header, map(_row, lines.iterator(chunk_size=2_000)))


def _row(line: ScanLine) -> list[Any]:
    one = ShownLine(line)
    return [
        line.code, SENTENCES[ScanLine.Outcome(line.outcome)], str(line.specimen or ""), one.name,
        line.read_at.isoformat(timespec="seconds"), line.read_by.shown_name,
    ]  # fmt: skip
