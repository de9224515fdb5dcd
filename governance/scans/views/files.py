"""The file as it came: for saving, never shown."""

from __future__ import annotations

from django.http import FileResponse, Http404, HttpRequest
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from accessions.people.access import Verb, person_of, requires
from governance.scans.models import Scan
from governance.scans.names import name_for_saving
from governance.scans.queries.store import open_content
from governance.scans.queries.visible import check_open, disposed_words


@require_safe
@requires(Verb.READ)
def scan_file(request: HttpRequest, pk: int) -> FileResponse:
    """Hostile content is harmless here only as long as no browser shows it: it is an attachment, its kind is the one
    that we found, and should a browser show it in spite of that, it may do nothing."""
    scan = get_object_or_404(Scan, pk=pk)
    check_open(person_of(request), scan)
    if scan.disposed_on is not None:
        raise Http404(disposed_words(scan))
    try:
        content = open_content(scan)
    except FileNotFoundError as error:
        raise Http404(_("The store has lost this file. Whoever has it can send it again.")) from error
    name = name_for_saving(scan.original_name, scan.media_type)
    answer = FileResponse(content, as_attachment=True, filename=name, content_type=scan.media_type)
    answer["Content-Length"] = str(scan.size_bytes)
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Content-Security-Policy"] = "sandbox; default-src 'none'"
    answer["Cross-Origin-Resource-Policy"] = "same-origin"
    answer["Cache-Control"] = "private, no-store"
    return answer
