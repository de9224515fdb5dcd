"""The terms sheet that travels with material: the page that prints, and the DOCX."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.papers.printed.docx_writer import CONTENT_TYPE
from governance.usedesk.forms.sheet import SheetForm
from governance.usedesk.models import MadeUse, UseRequest
from governance.usedesk.sheet.contents import Sheet
from governance.usedesk.sheet.docx import sheet_docx
from governance.usedesk.sheet.gathering import sheet_of_request, sheet_of_use
from governance.usedesk.sheet.language import language
from governance.usedesk.sheet.layout import printed_sheet

MOST_ON_A_PAGE: Final = 1000
"""Rows of the list on the page; the DOCX has all."""


@dataclass(frozen=True)
class Of:
    """What a sheet is of, as its page names it: the addresses of the thing and of the file."""

    name: str
    page: str
    file: str
    key: int


@require_GET
@requires(Verb.READ)
def request_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet of what was approved of a request."""
    asked = _request(pk)
    of = Of(asked.reference, "usedesk:request", "usedesk:request-sheet-docx", pk)
    return _page(request, of, sheet_of_request(asked, request.user))


@require_GET
@requires(Verb.EXPORT)
def request_sheet_docx(request: HttpRequest, pk: int) -> HttpResponse:
    """The same as a file."""
    asked = _request(pk)
    of = Of(asked.reference, "usedesk:request", "usedesk:request-sheet-docx", pk)
    return _file(request, of, sheet_of_request(asked, request.user))


@require_GET
@requires(Verb.READ)
def use_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet of a loan, or of another use that was made."""
    made = _use(pk)
    return _page(request, _of_use(made), sheet_of_use(made, request.user))


@require_GET
@requires(Verb.EXPORT)
def use_sheet_docx(request: HttpRequest, pk: int) -> HttpResponse:
    """The same as a file."""
    made = _use(pk)
    return _file(request, _of_use(made), sheet_of_use(made, request.user))


def _request(pk: int) -> UseRequest:
    return get_object_or_404(UseRequest.objects.select_related("recipient"), pk=pk)


def _use(pk: int) -> MadeUse:
    return get_object_or_404(MadeUse.objects.select_related("recipient", "request__recipient"), pk=pk)


def _of_use(made: MadeUse) -> Of:
    return Of(str(made), "usedesk:use", "usedesk:use-sheet-docx", made.pk)


def _page(request: HttpRequest, of: Of, sheet: Sheet) -> HttpResponse:
    form = SheetForm(request.GET, sheet)
    context = {"of": of, "sheet": sheet, "form": form, "query": request.GET.urlencode()}
    if form.is_valid():
        context["printed"] = printed_sheet(sheet, language(form.code), with_codes=form.with_codes, most=MOST_ON_A_PAGE)
    return render(request, "usedesk/sheet.html", context, status=200 if form.is_valid() else 400)


def _file(request: HttpRequest, of: Of, sheet: Sheet) -> HttpResponse:
    form = SheetForm(request.GET, sheet)
    if not form.is_valid():
        return render(request, "usedesk/sheet.html", {"of": of, "sheet": sheet, "form": form, "query": ""}, status=400)
    printed = printed_sheet(sheet, language(form.code), with_codes=form.with_codes)
    answer = HttpResponse(sheet_docx(printed, made_at=timezone.now()), content_type=CONTENT_TYPE)
    name = f"{slugify(of.name) or of.key}-terms-{printed.language}-{sheet.made_on.isoformat()}.docx"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer
