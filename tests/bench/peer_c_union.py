"""Peer C's union (verdict contract, section 7, step 4): papers that cover only together, in time or in area."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
import shapely

from .generate import Frames

if TYPE_CHECKING:
    from .peer_c_places import Places
    from .peer_c_three_valued import DateAnswers

Table = npt.NDArray[Any]


def join_papers(
    rows: Table,
    event: Table,
    date: Table,
    dates: DateAnswers,
    place: Table,
    name: Table,
    frames: Frames,
    places: Places,
) -> dict[int, tuple[int, ...]]:
    """For those of ``rows`` that several papers cover together: the columns of these papers, time before area."""
    events = frames.events
    has_date = (events["date_kind"] != 2).to_numpy()[event[rows]][:, None]
    touches = has_date & np.isfinite(dates.against)[event[rows]]
    in_time = touches & (place[rows] == 0) & (name[rows] == 0)
    in_area = (date[rows] == 0) & (name[rows] == 0) & (place[rows] == 1) & places.placed[event[rows]][:, None]
    joined: dict[int, tuple[int, ...]] = {}
    known: dict[tuple[int, tuple[int, ...]], tuple[int, ...]] = {}
    for candidates, holds in ((in_time, _holds_days), (in_area, _holds_disc)):
        for number in np.flatnonzero(candidates.sum(axis=1) > 1):
            row = int(rows[number])
            key = (int(event[row]), tuple(int(p) for p in np.flatnonzero(candidates[number])))
            if row in joined:
                continue
            if (holds.__name__, *key) not in known:
                known[(holds.__name__, *key)] = _needed(*key, holds, frames, places)
            if known[(holds.__name__, *key)]:
                joined[row] = known[(holds.__name__, *key)]
    return joined


def _needed(event: int, papers: tuple[int, ...], holds: Any, frames: Frames, places: Places) -> tuple[int, ...]:
    """The papers that are needed, what can be spared left out from the last on; () if together they do not hold."""
    if not holds(event, papers, frames, places):
        return ()
    for paper in reversed(papers):
        fewer = tuple(p for p in papers if p != paper)
        if fewer and holds(event, fewer, frames, places):
            papers = fewer
    return papers


def _holds_days(event: int, papers: tuple[int, ...], frames: Frames, places: Places) -> bool:
    first, last = frames.events["earliest"].iat[event], frames.events["latest"].iat[event]
    next_day = first
    for start, end in sorted((frames.papers["from_day"].iat[p], frames.papers["to_day"].iat[p]) for p in papers):
        if start <= next_day:
            next_day = max(next_day, end + 1)
    return bool(next_day > last)


def _holds_disc(event: int, papers: tuple[int, ...], frames: Frames, places: Places) -> bool:
    together = shapely.union_all(places.areas[list(papers)])
    point = places.points[event]
    if not shapely.contains(together, point):
        return False
    spots = places.nearest_spots(np.array([shapely.boundary(together)]), np.array([point]))
    return bool(places.geodesic(np.array([event]), spots)[0] > places.radius_m[event] + 1e-6)
