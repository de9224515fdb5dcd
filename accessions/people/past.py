"""Whether this process reads the register of an earlier moment, for the few places that keep what they read."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime
from typing import Final

_MOMENT: Final[ContextVar[datetime | None]] = ContextVar("moment of the register", default=None)


def asked_moment() -> datetime | None:
    """The moment of the register that queries read just now; None: as it is. Whoever keeps what was read beyond one
    request keeps nothing of an earlier moment."""
    return _MOMENT.get()


@contextmanager
def reading_at(moment: datetime) -> Iterator[None]:
    """Within it ``asked_moment`` gives the moment. For the clocks alone, which put the rows of it in place."""
    token = _MOMENT.set(moment)
    try:
        yield
    finally:
        _MOMENT.reset(token)
