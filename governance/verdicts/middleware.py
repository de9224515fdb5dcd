"""After a change, before its page goes out: the verdicts follow."""

from __future__ import annotations

import logging
from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase

from governance.verdicts.actions import take_up_soon
from governance.verdicts.worker import start_embedded

_log = logging.getLogger("governance.verdicts")
_READING = frozenset({"GET", "HEAD", "OPTIONS", "TRACE"})


class TakeUpMiddleware:
    """Takes up the marks that a request left. The change itself is kept whatever comes of it: the marks stay."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        start_embedded()
        response = self._get_response(request)
        if request.method not in _READING and response.status_code < 400:
            self._take_up(request)
        return response

    def _take_up(self, request: HttpRequest) -> None:
        user = getattr(request, "user", None)
        try:
            take_up_soon(by=user if user is not None and user.is_authenticated else None)
        except Exception:  # the person's change is committed: a page that says otherwise would be wrong
            _log.exception("The marks of a change could not be taken up; the next run tries again.")
