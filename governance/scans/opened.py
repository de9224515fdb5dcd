"""What restricted papers and scans a request opens: noted where their gate lets somebody in.

The rooms say what is opened; who keeps it, and for whom, is the audit's. Where nobody collects, as in a command,
nothing is noted.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Final

Opened = tuple[str, int]
"""``paper`` or ``scan``, and its key."""

_OPENED: Final[ContextVar[dict[Opened, None] | None]] = ContextVar("opened by this request", default=None)


@contextmanager
def collecting() -> Iterator[dict[Opened, None]]:
    """Within it, what is opened comes into the answer, each once, in its order."""
    found: dict[Opened, None] = {}
    mark = _OPENED.set(found)
    try:
        yield found
    finally:
        _OPENED.reset(mark)


def note_opened(kind: str, key: int) -> None:
    """A restricted paper or scan was let out to the person of the request."""
    found = _OPENED.get()
    if found is not None:
        found[kind, key] = None
