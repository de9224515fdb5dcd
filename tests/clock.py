"""The day on which all tests take place: nothing that is right today is wrong next year, nor at midnight.

The register takes its time from ``django.utils.timezone`` alone. Here that clock runs on from noon of one day; other
processes of a run that hold it (``tests/quick_manage.py``, ``tests/browser/forked.py``) have the same time, others the
real one. What dates do to the register is tested with dates that a test gives.
"""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from typing import Final

from django.utils import timezone

NOON: Final = datetime(2026, 11, 26, 12, tzinfo=UTC)
_BEGUN: Final = "FIELDWRIT_TESTS_BEGAN"
"""Environment variable: when the run began, for its other processes."""

_real: Final = timezone.now


def hold(*, hours_before: int = 0) -> None:
    """Let the register's clock of this process run from noon of the day, counted from the beginning of the run.

    ``hours_before`` is for what is kept from one run to the next, and has to lie before all of them.
    """
    begun = datetime.fromisoformat(os.environ.setdefault(_BEGUN, _real().isoformat()))
    noon = NOON - timedelta(hours=hours_before)

    def now() -> datetime:
        return noon + (_real() - begun)

    timezone.now = now
