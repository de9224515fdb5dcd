"""The basket of a request: a list put in, a selection of the register put in, what is in it, and taking out again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.contrib.humanize.templatetags.humanize import intcomma
from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.usedesk.actions.basket import Added, put_back, remove_items
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.scanning import Read, scan_codes
from governance.usedesk.forms.basket import BasketFilterForm, ListForm, picked
from governance.usedesk.models import RequestItem, UseRequest
from governance.usedesk.queries.basket import BasketRow, basket_counts, basket_items, chosen_items
from governance.usedesk.queries.codes import read_code
from governance.usedesk.queries.scan_signs import signs_of
from governance.usedesk.queries.scanned import list_report


@require_http_methods(["GET", "POST"])
@requires(Verb.TAKE_REQUESTS)
def request_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Paste or send a list; ``list=``: the report of one that was put in."""
    found = get_object_or_404(UseRequest, pk=pk)
    form = ListForm(posted(request), request.FILES if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            _take_list(request, found, form)
        except DeskError as error:
            form.add_error(None, str(error))
        else:
            return redirect(f"{reverse('usedesk:request-add', args=[pk])}?list={form.list_token}")
    token = request.GET.get("list", "").replace("\0", "")
    report = list_report(found, token, request.get_host()) if token else None
    context = {"found": found, "form": form, "report": report if report and report.counts["all"] else None}
    return render(request, "usedesk/basket_add.html", context, status=form.status)


def _take_list(request: HttpRequest, found: UseRequest, form: ListForm) -> None:
    house, token = request.get_host(), form.list_token
    codes = [code for code in (read_code(text, house) for text in form.codes) if not code.is_blank]
    reads = [Read(f"{token}-{number:05}", code) for number, code in enumerate(codes, 1)]
    scan_codes(request=found, reads=reads, by=request.user, why=gettext_noop("from a list"))


@require_GET
@requires(Verb.READ)
def request_items(request: HttpRequest, pk: int) -> HttpResponse:
    """What is in the basket, a page at a time."""
    found = get_object_or_404(UseRequest, pk=pk)
    form = BasketFilterForm(request.GET)
    wanted = form.wanted()
    pages = paged(request, basket_items(found, wanted))
    rows = list(pages["page"].object_list)
    signs = signs_of(found, [row.specimen_id for row in rows])
    context = pages | {
        "found": found, "form": form, "wanted": wanted, "counts": basket_counts(found), "sort": wanted.sort or "added",
        "rows": [BasketRow(row, signs.get(row.specimen_id)) for row in rows], "asked": request.GET.urlencode(),
        "is_narrowed": bool(wanted.q or wanted.decided), "takes": _takes(found),
        "undo": request.GET.get("removed", ""),
    }  # fmt: skip
    return render(request, "usedesk/basket_items.html", context)


def _takes(found: UseRequest) -> bool:
    return found.closed_at is None and found.answered_at is None


@require_GET
@requires(Verb.EXPORT)
def request_items_csv(request: HttpRequest, pk: int) -> HttpResponseBase:
    """What is in the basket as a file, as the page is narrowed."""
    found = get_object_or_404(UseRequest, pk=pk)
    rows = basket_items(found, BasketFilterForm(request.GET).wanted())
    header = [
        _("Specimen"),
        _("Name"),
        _("Accession"),
        _("Part"),
        _("Decision"),
        _("Added at"),
        _("Added by"),
        _("Note"),
    ]
    return csv_answer(f"basket-{found.pk}.csv", header, map(_row, rows.iterator(chunk_size=2_000)))


def _row(item: RequestItem) -> Sequence[Any]:
    specimen = item.specimen
    return [
        str(specimen), specimen.name.shown, specimen.accession.number, specimen.part.letter if specimen.part else "",
        BasketRow(item).decision_words, item.added_at.isoformat(timespec="seconds"), item.added_by.shown_name,
        item.note,
    ]  # fmt: skip


@require_POST
@requires(Verb.TAKE_REQUESTS)
def request_item_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take specimens out, after a look at how many; and put them back, as long as the page says how."""
    found = get_object_or_404(UseRequest, pk=pk)
    try:
        if "undo" in request.POST:
            return _put_back(request, found)
        if "confirmed" in request.POST:
            return _remove(request, found)
    except DeskError as error:
        messages.error(request, str(error))
        return redirect("usedesk:request-items", pk)
    chosen = chosen_items(found, picked(request.POST))
    hidden = [(name, value) for name in ("all", "pick") for value in request.POST.getlist(name)]
    context = {"found": found, "chosen": chosen, "hidden": hidden}
    return render(request, "usedesk/basket_remove.html", context)


def _remove(request: HttpRequest, found: UseRequest) -> HttpResponse:
    done = remove_items(request=found, items=picked(request.POST), by=request.user)
    words = ngettext("%(n)s specimen was removed.", "%(n)s specimens were removed.", done.made)
    said = [words % {"n": intcomma(done.made)}]
    if done.kept:
        words = ngettext("%(n)s is decided and stays.", "%(n)s are decided and stay.", done.kept)
        said.append(words % {"n": intcomma(done.kept)})
    messages.success(request, " ".join(said))
    back = reverse("usedesk:request-items", args=[found.pk])
    return redirect(f"{back}?removed={done.at:%Y-%m-%dT%H:%M:%S.%fZ}" if done.at else back)


def _put_back(request: HttpRequest, found: UseRequest) -> HttpResponse:
    try:
        at = parse_datetime(request.POST["undo"])
    except ValueError:
        at = None
    if at is None or at.tzinfo is None:
        raise BadRequest("undo: a moment was expected")
    messages.success(request, added_words(put_back(request=found, at=at, by=request.user), found))
    return redirect("usedesk:request-items", found.pk)


def added_words(added: Added, found: UseRequest) -> str:
    """What came of putting specimens in."""
    words = ngettext("%(n)s specimen is in %(number)s now.", "%(n)s specimens are in %(number)s now.", added.made)
    said = [words % {"n": intcomma(added.made), "number": found.reference}]
    if added.known:
        words = ngettext("%(n)s was in it already.", "%(n)s were in it already.", added.known)
        said.append(words % {"n": intcomma(added.known)})
    return " ".join(said)
