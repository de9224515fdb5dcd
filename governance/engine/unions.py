"""Papers that cover together what none covers alone: in time, or in area, never both at once (VERDICTS section 7.4)."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from governance.engine.areas import Area
from governance.engine.dates import Interval, Validity, subtract
from governance.engine.edges import edge_groups
from governance.engine.geodesy import disc_polygon
from governance.engine.grounds import Grounds
from governance.engine.places import PlaceTest

TIME_CODES = ("straddles", "date-vague")
"""Findings on a date that other papers' days can join away. A paper that does not touch it has nothing to join."""

EDGE_CODES = ("area-edge", "exclusion-edge")
"""Findings on a place near an edge: without one there is nothing that other papers could join away."""

APART_CODES = ("outside-area", "excluded-area", "at-sea")
"""Findings on a place that others can join away where an edge has an error: a neighbour's area takes the edge away."""

_WORLD = shapely.box(-180, -90, 180, 90)


def joint_in_time(validities: Sequence[Validity], interval: Interval) -> tuple[int, ...]:
    """Which of the papers are needed to cover every day of the interval together (VERDICTS section 7.4).

    A paper with a version whose start is unknown lends no day. Empty if they do not cover it.
    """
    days = [v.certain_days() if _starts_are_known(v) else [] for v in validities]

    def covers(members: Sequence[int]) -> bool:
        return not subtract([interval], [hole for m in members for hole in days[m]])

    return _needed(range(len(validities)), covers)


def _starts_are_known(validity: Validity) -> bool:
    """No version of the paper has an unknown start."""
    return all(version.from_day is not None for version in validity.versions)


def joint_in_area(tests: Sequence[PlaceTest], grounds: Grounds, place: int) -> tuple[int, ...]:
    """Which of the papers' areas are needed to hold the shape of a place together (VERDICTS section 7.4).

    A paper with an area that cannot be drawn, or with an exclusion that is not mapped, lends none. Empty if they do
    not hold it.
    """
    parts = [_region(test, grounds.sites[place]) for test in tests]
    usable = [n for n, part in enumerate(parts) if part is not None]

    def covers(members: Sequence[int]) -> bool:
        area = _joined([tests[m] for m in members], [parts[m] for m in members])
        return bool(area.relate(grounds.shapes, np.array([place])).within[0])

    return _needed(usable, covers)


def _needed(members: Sequence[int], covers: Callable[[Sequence[int]], bool]) -> tuple[int, ...]:
    """Leave out what can be spared, from the last on; one that would do alone has said why it does not."""
    kept = list(members)
    if len(kept) < 2 or not covers(kept):
        return ()
    for member in reversed(list(kept)):
        rest = [m for m in kept if m != member]
        if rest and covers(rest):
            kept = rest
    return tuple(kept) if len(kept) > 1 else ()


def _region(test: PlaceTest, sites: frozenset[str]) -> BaseGeometry | None:
    """What a paper allows to a specimen that names these sites: included less excluded.

    None where the paper excludes a site of these by name, where an exclusion that is not mapped may hold the specimen
    (an unmapped site holds only who names it, or names none), and where nothing can be drawn.
    """
    named = any(item.site in sites for item, _ in test.excluded if item.site)
    unsure = any(area is None and not (item.site and sites) for item, area in test.excluded)
    if named or unsure or test.terms.nowhere:
        return None
    included = [_drawn(area) for area in test.areas]
    excluded = [_drawn(test.grounds.wide_area_of(item) or area) for item, area in test.excluded if area is not None]
    if any(shape is None for shape in (*included, *excluded)):
        return None
    region = _WORLD if test.terms.everywhere else shapely.union_all(included)
    return region.difference(shapely.union_all(excluded)) if excluded else region


def _drawn(area: Area) -> BaseGeometry | None:
    """The area as a polygon; None for a circle about a pole."""
    return area.region if area.disc is None else disc_polygon(*area.disc)


def _joined(tests: Sequence[PlaceTest], parts: Sequence[BaseGeometry | None]) -> Area:
    """The union of the papers' areas; each edge has the error of the place that it belongs to, also of one excluded."""
    areas = [area for test in tests for area in (*test.areas, *(a for _, a in test.excluded)) if area is not None]
    region = shapely.union_all([part for part in parts if part is not None])
    drawn = [(shape, area.error_m) for area in areas if (shape := _drawn(area)) is not None]
    return Area(region, edge_groups(region, drawn))
