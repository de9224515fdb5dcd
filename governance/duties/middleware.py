"""After a change, before its page goes out: the duties follow."""

from __future__ import annotations

import logging
from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase
from django.utils.translation import gettext_noop

from governance.duties.actions.working_out import catch_up_soon

_log = logging.getLogger("governance.duties")
_READING = frozenset({"GET", "HEAD", "OPTIONS", "TRACE"})


class CatchUpMiddleware:
    """Works the duties out again where a request changed what they rest on: one query where it did not. The change
    itself is kept whatever comes of it: pages say that the duties are behind, and the next change or run tries again.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self._get_response(request)
        if request.method not in _READING and response.status_code < 400:
            self._catch_up(request)
        return response

    def _catch_up(self, request: HttpRequest) -> None:
        user = getattr(request, "user", None)
        if user is None or not user.is_authenticated:
            return
        try:
            catch_up_soon(by=user, why=gettext_noop("after a change"))
        except Exception:  # the person's change is committed: a page that says otherwise would be wrong
            _log.exception("The duties could not be worked out after a change; the next run tries again.")
