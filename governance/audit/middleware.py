"""After a page, before it goes out: what it opened that is restricted is written down."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from django.http import FileResponse, HttpRequest, HttpResponseBase, StreamingHttpResponse

from governance.audit.actions.openings import keep_openings
from governance.scans.opened import Opened, collecting


class OpeningsMiddleware:
    """Asks nothing of the database where nothing restricted was opened. What cannot be written down is not shown: the
    error goes on."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        with collecting() as opened:
            response = self._get_response(request)
        if response.status_code < 400 and request.user.is_authenticated:
            if opened:
                _keep(opened, request)
            if isinstance(response, StreamingHttpResponse) and not isinstance(response, FileResponse):
                response.streaming_content = _watched(iter(response), request, frozenset(opened))
        return response


def _keep(opened: Iterable[Opened], request: HttpRequest) -> None:
    match = request.resolver_match
    keep_openings(opened, place=match.view_name if match else "", reader=request.user)


def _watched(content: Iterable[bytes], request: HttpRequest, told: frozenset[Opened]) -> Iterator[bytes]:
    """The pieces of a file that is read from the register while it is sent: each goes out after what it opened is
    written down."""
    pieces = iter(content)
    while True:
        with collecting() as opened:
            piece = next(pieces, None)
        new = [one for one in opened if one not in told]
        if new:
            _keep(new, request)
            told = told.union(new)
        if piece is None:
            return
        yield piece
