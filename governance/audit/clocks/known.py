"""The one place through which the past of the register is asked."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime


class AsKnownError(Exception):
    """The register of that moment cannot be shown, with the reason in words."""


@contextmanager
def as_known(moment: datetime | None) -> Iterator[None]:
    """Within it every read of a table of the register gives the rows as they were known at the moment; None: now.

    Raises:
        AsKnownError: the moment lies before the first record, or something is written within.
    """
    if moment is not None:
        raise AsKnownError("The past of the register cannot be asked yet.")
    yield
