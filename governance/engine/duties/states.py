"""How a duty stands on a day."""

from __future__ import annotations

from datetime import date, timedelta
from enum import StrEnum


class State(StrEnum):
    """How a duty stands. The words stand in addresses and files: never change one."""

    DAY_NOT_KNOWN = "day-not-known"
    COMING = "coming"
    DUE = "due"
    LATE = "late"
    DONE = "done"
    ACCEPTED = "accepted"
    WAIVED = "waived"
    NO_LONGER_ASKED = "no-longer-asked"


def state_of(
    due: date | None, *, today: date, ahead_days: int, done: bool = False, accepted: bool = False,
    waived: bool = False, dropped: bool = False,
) -> State:  # fmt: skip
    """How a duty stands. What was done stays done, whatever became of the rule.

    Args:
        ahead_days: from how many days before its day on it counts as due, not as coming.
    """
    if accepted:
        return State.ACCEPTED
    if done:
        return State.DONE
    if waived:
        return State.WAIVED
    if dropped:
        return State.NO_LONGER_ASKED
    if due is None:
        return State.DAY_NOT_KNOWN
    if due < today:
        return State.LATE
    return State.DUE if due <= today + timedelta(ahead_days) else State.COMING
