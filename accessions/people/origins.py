"""Where a change comes from, for the seal: the page that was sent, or the command that runs."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import Any

from django.http import HttpRequest, HttpResponseBase

LONGEST = 200
"""Longest origin that a write holds."""

_request: ContextVar[HttpRequest | None] = ContextVar("request", default=None)
_told: ContextVar[str] = ContextVar("told", default="")


class OriginMiddleware:
    """Keeps the request at hand while it is answered, so that what it writes can say where it came from."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        mark = _request.set(request)
        try:
            return self._get_response(request)
        finally:
            _request.reset(mark)


@contextmanager
def coming_from(origin: str) -> Iterator[None]:
    """What is written within it comes from there: for work that no request and no command asked for."""
    mark = _told.set(origin)
    try:
        yield
    finally:
        _told.reset(mark)


def origin() -> str:
    """``POST /papers/12/edit/``, ``manage.py demo``, or "" where nothing is known."""
    request = _request.get()
    return (_told.get() or (_of_request(request) if request is not None else _of_command()))[:LONGEST]


def writer() -> Any:
    """Who is signed in where a request writes; None elsewhere."""
    user = getattr(_request.get(), "user", None)
    return user if user is not None and user.is_authenticated else None


def _of_request(request: HttpRequest) -> str:
    """The address, without its query. Who is not signed in may have come by a link with a secret in it: of them the
    pattern of the address alone is kept."""
    match = request.resolver_match
    if writer() is None and match is not None:
        return f"{request.method} /{match.route}"
    return f"{request.method} {request.path}"


def _of_command() -> str:
    script, *words = sys.argv or [""]
    return f"manage.py {words[0]}" if Path(script).name.endswith("manage.py") and words else ""
