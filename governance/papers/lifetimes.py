"""How a paper stands on a day: in force, ended, suspended, unread. For lists and sentences; verdicts are the engine's.

Closed seasons are not looked at here: a paper in its closed season is in force, and its page shows the season.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from governance.papers.models import Paper, PaperStatus, PaperVersion
from governance.papers.statuses import ENDS

_DAY = timedelta(1)


class Standing(StrEnum):
    """How a paper stands on a day."""

    IN_FORCE = "in-force"
    NOT_YET = "not-yet"
    BETWEEN = "between"
    SUSPENDED = "suspended"
    ENDED = "ended"
    REVOKED = "revoked"
    WITHDRAWN = "withdrawn"
    SURRENDERED = "surrendered"
    UNREAD = "unread"
    APPLIED = "applied"
    REFUSED = "refused"


@dataclass(frozen=True)
class Lifetime:
    """How a paper stands on a day, and the days that a sentence about it names.

    first, last: the first and the last day of the whole paper; None: not known, or open. since: of the present state.
    until: the last day of the present state, None if open or not known. version: the one in force, if any.
    """

    standing: Standing
    on: date
    first: date | None = None
    last: date | None = None
    since: date | None = None
    until: date | None = None
    version: PaperVersion | None = None

    @property
    def days_left(self) -> int | None:
        """Days until the last day of a paper that is in force, this day not counted."""
        return (self.until - self.on).days if self.standing == Standing.IN_FORCE and self.until else None


def lifetime(paper: Paper, on: date) -> Lifetime:
    """The state of a paper on a day; reads ``statuses`` and ``versions``, which lists prefetch."""
    turns, versions = list(paper.statuses.all()), in_order(paper.versions.all())
    ended = next((t for t in turns if t.state in ENDS), None)
    first, last = _span(versions, ended)
    decision = last_decision(turns)
    if decision is not None and decision.state != PaperStatus.State.GRANTED:
        return Lifetime(Standing(decision.state), on, first, last, since=decision.from_on)
    if ended is not None and ended.from_on <= on:
        return Lifetime(Standing(ended.state), on, first, last, since=ended.from_on)
    if not versions:
        return Lifetime(Standing.UNREAD, on)
    return _among_versions(versions, turns, on, (first, last))


def in_force_between(paper: Paper, first: date, last: date) -> list[PaperVersion]:
    """The versions in force on some day of a period, each once; looked at on the days on which that can begin."""
    turns, versions = paper.statuses.all(), paper.versions.all()
    begins = {first, *(one.in_force_from for one in versions), *(one.to_on + _DAY for one in turns if one.to_on)}
    lives = [lifetime(paper, day) for day in sorted(day for day in begins if day and first <= day <= last)]
    return list(dict.fromkeys(one.version for one in lives if one.version and one.standing == Standing.IN_FORCE))


def in_order(versions: Iterable[PaperVersion]) -> list[PaperVersion]:
    """Versions by their first day; an unknown start is the earliest."""
    return sorted(versions, key=lambda version: version.in_force_from or date.min)


def moved_start(
    standing: Mapping[date | None, object], told: Mapping[date | None, object]
) -> tuple[date | None, date | None] | None:
    """The start of a version before and after, where that is all that sets it apart: one start is gone, one is new, at
    the same place in the order. It is then the same version, corrected, with all that hangs on it.

    >>> moved_start({None: 1, date(2024, 5, 1): 2}, {None: 1, date(2024, 6, 1): 2})
    (datetime.date(2024, 5, 1), datetime.date(2024, 6, 1))
    >>> moved_start({date(2024, 5, 1): 1}, {date(2024, 5, 1): 1, date(2024, 6, 1): 2}) is None
    True
    """
    gone, new = standing.keys() - told.keys(), told.keys() - standing.keys()
    if len(gone) != 1 or len(new) != 1:
        return None
    (old,), (start,) = gone, new
    return (old, start) if _place(old, standing) == _place(start, told) else None


def _place(start: date | None, starts: Iterable[date | None]) -> int:
    return sorted(day or date.min for day in starts).index(start or date.min)


def last_decision(turns: Sequence[PaperStatus]) -> PaperStatus | None:
    """The last word of the authority: applied for, refused or granted; None if nothing is told of it."""
    decisions = [turn for turn in turns if turn.state in ("applied", "refused", "granted")]
    return max(decisions, key=lambda turn: (turn.from_on, turn.pk or 0), default=None)


def _span(versions: Sequence[PaperVersion], ended: PaperStatus | None) -> tuple[date | None, date | None]:
    if not versions:
        return None, None
    last = versions[-1].in_force_to
    if ended is not None:
        last = min(last or date.max, ended.from_on - _DAY)
    return versions[0].in_force_from, last


def _among_versions(
    versions: Sequence[PaperVersion], turns: Sequence[PaperStatus], on: date, span: tuple[date | None, date | None]
) -> Lifetime:
    started = [version for version in versions if (version.in_force_from or date.min) <= on]
    coming = versions[len(started)] if len(started) < len(versions) else None
    if not started:
        return Lifetime(Standing.NOT_YET, on, *span, until=coming.in_force_from if coming else None)
    version = started[-1]
    if version.in_force_to is not None and version.in_force_to < on:
        standing = Standing.BETWEEN if coming else Standing.ENDED
        return Lifetime(standing, on, *span, since=version.in_force_to, until=coming.in_force_from if coming else None)
    pause = next((t for t in turns if t.state == "suspended" and t.from_on <= on <= (t.to_on or date.max)), None)
    if pause is not None:
        return Lifetime(Standing.SUSPENDED, on, *span, since=pause.from_on, until=pause.to_on, version=version)
    return Lifetime(Standing.IN_FORCE, on, *span, since=version.in_force_from, until=span[1], version=version)
