"""The validity of a paper as bars: its versions, each until the next one starts, cut by what took it out of force.

Source: the contract of verdicts, section 3 (a version is superseded for good when the next one starts; suspensions,
closed seasons and the days from a revocation on are holes).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import zip_longest

from governance.papers.drawing.timeline import Band, BandKind

Season = tuple[int, int, int, int]
"""First month and day, last month and day; it may wrap over the new year."""

_DAY = timedelta(1)
_MOST_SEASONS = 400


@dataclass(frozen=True)
class VersionDays:
    """The days of one version, its label, and its closed seasons."""

    first: date | None
    last: date | None
    label: str = ""
    seasons: Sequence[Season] = ()


@dataclass(frozen=True)
class Pause:
    """A suspension from one day to another (None: until told otherwise)."""

    first: date
    last: date | None
    label: str = ""


def validity_bands(
    versions: Sequence[VersionDays],
    pauses: Sequence[Pause] = (),
    ended_on: date | None = None,
    within: tuple[date, date] | None = None,
) -> list[Band]:
    """The bars of a paper in the order of their days, each followed by the pauses that cut it.

    Args:
        versions: in any order; an open start counts as the earliest.
        pauses: suspensions.
        ended_on: the first day of a revocation or surrender; nothing is valid from it on.
        within: the days for which closed seasons are drawn; None: only of versions with both ends.
    """
    ordered = sorted(versions, key=lambda version: version.first or date.min)
    bands = []
    for version, following in zip_longest(ordered, ordered[1:]):
        stretch = _in_force(version, following, ended_on)
        if stretch is not None:
            bands.append(Band(BandKind.IN_FORCE, *stretch, version.label))
            bands += [band for hole in _holes(version, pauses, within) if (band := _cut(hole, stretch)) is not None]
    return bands


def _in_force(
    version: VersionDays, following: VersionDays | None, ended_on: date | None
) -> tuple[date | None, date | None] | None:
    """From the version's first day to its last, the day before the next one, or the day before the end of the paper."""
    lasts = [version.last]
    if following is not None and following.first is not None:
        lasts.append(following.first - _DAY)
    if ended_on is not None:
        lasts.append(ended_on - _DAY)
    last = min((day for day in lasts if day is not None), default=None)
    if version.first is not None and last is not None and last < version.first:
        return None
    return version.first, last


def _holes(version: VersionDays, pauses: Sequence[Pause], within: tuple[date, date] | None) -> Iterator[Pause]:
    yield from pauses
    first, last = version.first or (within[0] if within else None), version.last or (within[1] if within else None)
    if first is None or last is None:
        return
    for season in version.seasons:
        yield from season_days(season, first, last)


def season_days(season: Season, first: date, last: date) -> Iterable[Pause]:
    """A closed season in each year that it touches from one day to another, at most 400 of them.

    A start on 29 February is 1 March in a common year, an end on it is 28 February.

    >>> winter = season_days((11, 1, 2, 29), date(2022, 6, 1), date(2024, 6, 1))
    >>> [(pause.first.isoformat(), pause.last.isoformat()) for pause in winter]
    [('2022-11-01', '2023-02-28'), ('2023-11-01', '2024-02-29')]
    """
    from_month, from_day, to_month, to_day = season
    wraps = (to_month, to_day) < (from_month, from_day)
    for year in range(max(first.year - wraps, 1), min(last.year, first.year + _MOST_SEASONS, 9998) + 1):
        start, end = _start(year, from_month, from_day), _end(year + wraps, to_month, to_day)
        if start <= last and end >= first:
            yield Pause(start, end)


def _start(year: int, month: int, day: int) -> date:
    return date(year, 3, 1) if (month, day) == (2, 29) and not _is_leap(year) else date(year, month, day)


def _end(year: int, month: int, day: int) -> date:
    return date(year, 2, 28) if (month, day) == (2, 29) and not _is_leap(year) else date(year, month, day)


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def _cut(hole: Pause, stretch: tuple[date | None, date | None]) -> Band | None:
    """The part of a pause that lies in a stretch; None where they do not meet."""
    first = hole.first if stretch[0] is None else max(hole.first, stretch[0])
    last = min((day for day in (hole.last, stretch[1]) if day is not None), default=None)
    if last is not None and last < first:
        return None
    return Band(BandKind.PAUSE, first, last, hole.label)
