"""The picture of a page."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.utils.cache import get_conditional_response, patch_vary_headers
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import NotAllowedError, Verb, requires
from governance.scans.drawing.pictures import page_picture
from governance.scans.drawing.placeholder import placeholder
from governance.scans.drawing.sizes import READING, TURNS, WIDTHS
from governance.scans.models import Scan
from governance.scans.queries.visible import disposed_words, opens

_EDITION = "1"
"""Of the drawing: another one makes browsers ask for the pictures again."""


@require_GET
@requires(Verb.READ)
def page_image(request: HttpRequest, pk: int, number: int) -> HttpResponseBase:
    """A page as PNG, drawn by us; nothing of the file itself is sent. ``width``, ``turn``: one of those we draw."""
    scan = get_object_or_404(Scan, pk=pk)
    if not opens(request.user, scan):
        raise NotAllowedError(_("This scan is not open to your role."))
    if scan.disposed_on is not None:
        raise Http404(disposed_words(scan))
    width = _one_of(WIDTHS, request.GET.get("width"), READING)
    turn = _one_of(TURNS, request.GET.get("turn"), 0)
    if not 1 <= number <= (scan.page_count or 0):
        raise Http404(_("This scan has no such page."))
    etag = f'"{scan.sha256[:32]}-{number}-{width}-{turn}-{_EDITION}"'
    # A picture never changes, so a browser that has it need not wait until it is drawn again.
    answer = get_conditional_response(request, etag=etag) or _drawn(scan, number, width, turn, etag)
    return _sandboxed(answer)


def _drawn(scan: Scan, number: int, width: int, turn: int, etag: str) -> HttpResponse:
    picture = page_picture(scan, number, width, turn)
    if picture is None:
        words = _("This page could not be drawn.\nThe file itself can be downloaded.")
        answer = HttpResponse(placeholder(width, words), content_type="image/png")
        answer["Cache-Control"] = "private, no-store"
        return answer
    answer = HttpResponse(picture, content_type="image/png")
    answer["ETag"] = etag
    answer["Cache-Control"] = "private, max-age=600"
    return answer


def _sandboxed(answer: HttpResponseBase) -> HttpResponseBase:
    """Even if a browser took the picture for a page, it could do nothing."""
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Content-Security-Policy"] = "sandbox; default-src 'none'"
    answer["Cross-Origin-Resource-Policy"] = "same-origin"
    patch_vary_headers(answer, ["Cookie"])  # who signs in next at this browser sees nothing from before
    return answer


def _one_of(allowed: tuple[int, ...], asked: str | None, otherwise: int) -> int:
    if asked is None:
        return otherwise
    if asked not in map(str, allowed):
        raise Http404(_("Pictures are drawn in these sizes: %(sizes)s.") % {"sizes": ", ".join(map(str, allowed))})
    return int(asked)
