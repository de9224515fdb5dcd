"""What versions say of the use of material: read, entered beside the scan, and what is still to be read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from accessions.intake.problems import FileProblems
from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.papers.actions.locking import ChangedMeanwhileError
from governance.papers.actions.terms import save_terms
from governance.papers.forms.rows import without_errors
from governance.papers.forms.terms import UseSheet
from governance.papers.models import PaperVersion
from governance.papers.queries.beside import Beside, scan_beside
from governance.papers.queries.terms_on_pages import (
    earlier_with_terms,
    number_of,
    terms_object,
    terms_of_versions,
    terms_stamp,
)
from governance.papers.queries.terms_unread import SORTS, UnreadTerms, unread_terms
from governance.papers.restriction import check_readable
from governance.papers.terms_joined import Joined, joined
from governance.papers.views.answers import REFUSED, status_of


@require_GET
@requires(Verb.READ)
def terms(request: HttpRequest, pk: int) -> HttpResponse:
    """All that one version says of the use of material; made to be printed, too."""
    version = _readable(request, pk)
    read = terms_of_versions(version.paper.versions.all())
    shown = next(one for one in read if one.version.pk == pk)
    context = {"read": shown, "version": version, "paper": version.paper, "versions": read}
    return render(request, "papers/terms.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
def terms_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter what a version says of each use, with its scan beside it."""
    version = _readable(request, pk)
    standing = terms_object(version)
    if request.method != "POST":
        copied = _copied(request, version)
        return _page(request, version, UseSheet(None, standing, copied[1] if copied else None), copied=copied)
    sheet = UseSheet(request.POST, standing)
    is_valid = sheet.is_valid()
    if "show_page" in request.POST:
        without_errors(sheet.forms)
        return _page(request, version, sheet)
    if is_valid:
        try:
            saved = _save(request, version, sheet)
        except FileProblems as problems:
            sheet.refuse(problems)
        except ChangedMeanwhileError:
            return _meanwhile(request, version, sheet)
        else:
            messages.success(request, _saved_words(saved, version))
            return redirect("papers:terms", pk)
    return _page(request, version, sheet)


def _readable(request: HttpRequest, pk: int) -> PaperVersion:
    version = get_object_or_404(PaperVersion.objects.select_related("paper"), pk=pk)
    check_readable(version.paper, request.user)
    return version


def _save(request: HttpRequest, version: PaperVersion, sheet: UseSheet) -> int:
    why = sheet.reading.cleaned_data["why"] or _("terms of use read")
    return save_terms(version=version, data=sheet.object(), by=request.user, why=why, seen=terms_stamp(sheet.base()))


def _saved_words(saved: int, version: PaperVersion) -> str:
    if not saved:
        return _("Nothing differed from what stands for %(paper)s; nothing was written.") % {"paper": version.paper}
    return _("The terms of use of %(paper)s were saved.") % {"paper": version.paper}


def _copied(request: HttpRequest, version: PaperVersion) -> tuple[int, Mapping[str, Any]] | None:
    """The earlier version that the address names, to begin with: its number and terms. That the whole text was read is
    said of that one alone."""
    for number, earlier in earlier_with_terms(version):
        if str(earlier.pk) == request.GET.get("from"):
            return number, {key: item for key, item in terms_object(earlier).items() if key != "whole_text_read"}
    return None


def _meanwhile(request: HttpRequest, version: PaperVersion, sheet: UseSheet) -> HttpResponse:
    """Somebody else saved: theirs is taken in where the person changed nothing, and nothing is saved yet."""
    theirs = terms_object(version)
    found = joined(sheet.base(), sheet.object(), theirs)
    fresh = UseSheet(None, theirs, found.value)
    fresh.reading.initial["why"] = sheet.reading.cleaned_data["why"]
    return _page(request, version, fresh, meanwhile=found)


def _page(
    request: HttpRequest, version: PaperVersion, sheet: UseSheet, *,
    copied: tuple[int, Any] | None = None, meanwhile: Joined | None = None,
) -> HttpResponse:  # fmt: skip
    beside = _beside(request, version)
    context = {
        "sheet": sheet, "all_forms": sheet.forms, "version": version, "paper": version.paper, "beside": beside,
        "number": number_of(version), "copied": copied[0] if copied else None, "meanwhile": meanwhile,
        "earlier": [] if sheet.is_bound or copied or meanwhile else earlier_with_terms(version),
        "shown_page": _page_of_scan(beside, request.POST),
    }  # fmt: skip
    status = REFUSED if meanwhile else status_of(*sheet.forms)
    return render(request, "papers/terms_form.html", context, status=status)


def _beside(request: HttpRequest, version: PaperVersion) -> Beside | None:
    """The scan that the address or the form names, if it is filed with the paper; else the newest of the paper."""
    asked = scan_beside(version.paper, request.user, request.POST if "scan" in request.POST else request.GET)
    if asked is None or asked.is_filed:
        return asked
    return scan_beside(version.paper, request.user, QueryDict())


def _page_of_scan(beside: Beside | None, data: QueryDict) -> int | None:
    """The page of the scan that a button of a block asked for: its box holds the page of the paper."""
    page = str(data.get(f"{data.get('show_page', '')}page", "")).strip()
    if beside is None or not (page.isascii() and page.isdecimal() and len(page) < 5):
        return None
    return beside.pages[0] + int(page) - 1


@require_GET
@requires(Verb.READ)
def terms_unread(request: HttpRequest) -> HttpResponse:
    """Versions whose terms of use were not read, those that most material hangs on first."""
    found = _unread(request)
    context = paged(request, found.rows) | {"found": found, "asked": request.GET.urlencode()}
    return render(request, "papers/terms_unread.html", context)


def _unread(request: HttpRequest) -> UnreadTerms:
    sort = str(request.GET.get("sort", ""))
    return unread_terms(
        timezone.localdate(), sort=sort if sort.removeprefix("-") in SORTS else "-specimens",
        only_now=request.GET.get("versions") != "all",
    )  # fmt: skip


HEADER = (
    "reference", "kind", "version from", "version to", "terms", "uses read", "uses not read",
    "specimens linked at most", "links",
)  # fmt: skip


@require_GET
@requires(Verb.EXPORT)
def terms_unread_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The same list as CSV. That a paper exists and what it covers everybody may know."""

    def lines() -> Iterator[tuple[Any, ...]]:
        for row in _unread(request).rows:
            first, last = row.version.in_force_from, row.version.in_force_to
            paper = row.version.paper
            yield (
                paper.reference, paper.kind, first, last, row.state, row.read, row.unread,
                row.specimens, row.links,
            )  # fmt: skip

    return csv_answer("terms-of-use-unread.csv", HEADER, lines())
