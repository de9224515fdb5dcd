"""The list of scans, and the list as a file."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, is_open_to, person_of, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.scans.forms.listing import ScanFilterForm
from governance.scans.models import Scan
from governance.scans.queries.listing import scan_rows, unfiled_of, with_what_lists_show
from governance.scans.queries.one_scan import mark_words, standing_marks
from governance.scans.queries.pages import missing_pages
from governance.scans.queries.visible import closed_words

_MOST_UNFILED = 50
_SLICE = 500

HEADER = (
    "number", "name", "media type", "size in bytes", "pages", "sha-256", "received on", "received by", "filed with",
    "marks", "pages missing", "words", "restricted",
)  # fmt: skip


@require_GET
@requires(Verb.READ)
def scan_list(request: HttpRequest) -> HttpResponse:
    """All scans, newest first; before them what the reader dropped and nobody filed."""
    form = ScanFilterForm(request.GET)
    wanted = form.wanted()
    person = person_of(request)
    unfiled = [] if wanted.is_narrowed else list(with_what_lists_show(unfiled_of(person))[:_MOST_UNFILED])
    rows = scan_rows(wanted, person).exclude(pk__in=[scan.pk for scan in unfiled])
    context = paged(request, with_what_lists_show(rows))
    context |= {
        "form": form, "wanted": wanted, "asked": request.GET.urlencode(), "in_register": Scan.objects.count(),
        "unfiled": unfiled,
    }  # fmt: skip
    return render(request, "scans/scans.html", context)


@require_GET
@requires(Verb.EXPORT)
def scan_table(request: HttpRequest) -> StreamingHttpResponse:
    """The same list as CSV. Of what is closed to the reader only that it is there, and to whom it is open."""
    rows = with_what_lists_show(scan_rows(ScanFilterForm(request.GET).wanted(), request.user))
    lines = (_line(scan, request.user) for scan in rows.iterator(chunk_size=_SLICE))
    return csv_answer("scans.csv", HEADER, lines)


def _line(scan: Scan, user: Any) -> tuple[Any, ...]:
    if not is_open_to(user, scan.open_to):
        return (scan.pk, *[""] * (len(HEADER) - 2), closed_words(scan.open_to))
    return (
        scan.pk, scan.original_name, scan.media_type, scan.size_bytes, scan.page_count, scan.sha256,
        scan.received_at.date(), scan.received_by.shown_name, " | ".join(_places(scan)),
        " | ".join(mark_words(mark, user) for mark in standing_marks(scan)), missing_pages(scan),
        str(scan.get_text_state_display()), "",
    )  # fmt: skip


def _places(scan: Scan) -> Iterator[str]:
    for filing in scan.standing_filings:  # type: ignore[attr-defined]  # prefetched
        yield str(filing.accession or _("site %(site)s") % {"site": filing.site})
