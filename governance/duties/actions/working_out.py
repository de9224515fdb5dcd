"""Duties worked out from rules and facts: made, moved, dropped, taken up again."""

from __future__ import annotations

from typing import Any

from governance.duties.models import DutyRun
from governance.duties.queries.marks import is_behind, mark


def work_out(*, by: Any, why: str) -> DutyRun:
    """Work all duties out anew."""
    return DutyRun.objects.create(by=by, why=why, mark=mark())


def catch_up(*, by: Any, why: str) -> DutyRun | None:
    """The same, where the register changed since; None if the duties are up to date."""
    return work_out(by=by, why=why) if is_behind() else None
