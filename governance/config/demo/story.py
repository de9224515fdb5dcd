"""When the story of the demo happened: what the register wrote down by itself then, it dates by that day.

A register that was made in one minute has no past. The demo tells one: the frame and the holdings were entered in
September, decisions came in October. The actions take the time from ``django.utils.timezone``; while a chapter is told,
that clock stands where the chapter was.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import Final

from django.utils import timezone

WORK_BEGINS: Final = 9


@contextmanager
def days_ago(days: int, *, hour: int = WORK_BEGINS) -> Iterator[None]:
    """Within it the register's clock runs on from ``hour`` o'clock of a day that lies some days back."""
    real = timezone.now
    then = timezone.localtime(real()) - timedelta(days=days)
    start, begun = then.replace(hour=hour, minute=0, second=0, microsecond=0), real()

    def told() -> datetime:
        moment: datetime = start + (real() - begun)
        return moment.astimezone(real().tzinfo)

    timezone.now = told
    try:
        yield
    finally:
        timezone.now = real
