"""After a page, before it goes out: what it opened that is restricted is written down."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase

from governance.audit.actions.openings import keep_openings
from governance.scans.opened import collecting


class OpeningsMiddleware:
    """Asks nothing of the database where nothing restricted was opened. What cannot be written down is not shown: the
    error goes on."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        with collecting() as opened:
            response = self._get_response(request)
        if opened and response.status_code < 400 and request.user.is_authenticated:
            match = request.resolver_match
            keep_openings(opened, place=match.view_name if match else "", reader=request.user)
        return response
