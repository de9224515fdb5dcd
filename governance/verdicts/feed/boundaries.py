"""Boundaries of registered sites for papers that name a site without mapping it: each holds on its days."""

from __future__ import annotations

import dataclasses
import json
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from shapely.geometry.base import BaseGeometry

from governance.engine.tables import PlaceItem, Version
from governance.papers.document import Node, Report
from governance.papers.place_items import place_items
from governance.verdicts.feed.rows import select


@dataclass(frozen=True)
class Boundary:
    """The outline of a site from one day to another, both counted; None is open. One of shape and disc."""

    from_day: int | None
    to_day: int | None
    shape: BaseGeometry | None
    disc: tuple[float, float, float] | None
    error_m: float | None

    def holds(self, first: int | None, last: int | None) -> bool:
        """Whether it holds on every day of a period (None: open)."""
        starts = self.from_day is None or (first is not None and self.from_day <= first)
        ends = self.to_day is None or (last is not None and last <= self.to_day)
        return starts and ends


Boundaries = Mapping[str, Sequence[Boundary]]
"""By folded code and name of the site. A name that several sites have names none."""

_COLUMNS = "b.held_from, b.held_to, b.polygon, b.longitude_deg, b.latitude_deg, b.radius_m, b.error_m"


def boundaries_by_key() -> Boundaries:
    """The boundaries of all sites."""
    of_site: dict[int, list[Boundary]] = defaultdict(list)
    sites_of: dict[str, set[int]] = defaultdict(set)
    for site, code, name in select("SELECT id, code_key, name_key FROM sites_site"):  # also those without a boundary
        sites_of[code].add(site)
        if name:
            sites_of[name].add(site)
    for site, *row in select(f"SELECT b.site_id, {_COLUMNS} FROM sites_siteboundary b ORDER BY b.site_id, b.id"):
        of_site[site].append(_boundary(*row))
    alone = {key: next(iter(sites)) for key, sites in sites_of.items() if len(sites) == 1}
    return {key: of_site[site] for key, site in alone.items() if site in of_site}


def _boundary(first: Any, last: Any, polygon: str, lon: float, lat: float, radius_m: float, error_m: float) -> Boundary:
    place: dict[str, Any] = {"site": "-"}
    if polygon:
        place["geojson"] = json.loads(polygon)
    elif radius_m:
        place |= {"point": [lon, lat], "radius_m": radius_m}
    (item,) = place_items(Node([place], "boundary", Report("the register", None)))
    return Boundary(day_number(first), day_number(last), item.shape, item.disc, error_m)


def day_number(value: date | str | None) -> int | None:
    """A day as the cursor of either database gives it."""
    if value is None:
        return None
    return (value if isinstance(value, date) else date.fromisoformat(value)).toordinal()


def cut(
    version: Version, superseded_on: int | None, boundaries: Boundaries, included: Boundaries | None = None
) -> list[Version]:
    """The version in pieces on each of which every registered site has one boundary, or none.

    A version of unknown start is not cut, since its pieces would have a known one: it takes a boundary only if that
    holds on all its days.

    Args:
        included: boundaries for the places that the version includes; None: the same as for those that it excludes.
    """
    included = boundaries if included is None else included
    named = [b for item in _bare(version) for b in boundaries.get(item.site, ())]
    if not named:
        return [version]
    days = sorted(_changes(named) if version.from_day is not None else ())
    last = _earlier(version.to_day, None if superseded_on is None else superseded_on - 1)
    inner = [day for day in days if version.from_day is not None and day > version.from_day and _within(day, last)]
    starts = [version.from_day, *inner]
    ends: list[int | None] = [*(day - 1 for day in inner), version.to_day]
    return [
        _mapped(version, (first, end), _earlier(end, last), included, boundaries)
        for first, end in zip(starts, ends, strict=True)
    ]


def _bare(version: Version) -> list[PlaceItem]:
    """Places that name a site and map nothing."""
    places = (*version.include_places, *version.exclude_places)
    return [item for item in places if item.site and item.shape is None and item.disc is None]


def _changes(boundaries: Sequence[Boundary]) -> set[int]:
    """Days from which on another boundary holds."""
    firsts = {b.from_day for b in boundaries if b.from_day is not None}
    return firsts | {b.to_day + 1 for b in boundaries if b.to_day is not None}


def _earlier(one: int | None, other: int | None) -> int | None:
    return min((day for day in (one, other) if day is not None), default=None)


def _within(day: int, last: int | None) -> bool:
    return last is None or day <= last


def _mapped(
    version: Version, days: tuple[int | None, int | None], last: int | None, included: Boundaries, excluded: Boundaries
) -> Version:
    """A piece of the version: on these days, judged on those up to last."""
    first, end = days

    def places(items: tuple[PlaceItem, ...], boundaries: Boundaries) -> tuple[PlaceItem, ...]:
        return tuple(_with_boundary(item, first, last, boundaries) for item in items)

    return dataclasses.replace(
        version,
        from_day=first,
        to_day=end,
        include_places=places(version.include_places, included),
        exclude_places=places(version.exclude_places, excluded),
    )


def _with_boundary(item: PlaceItem, first: int | None, last: int | None, boundaries: Boundaries) -> PlaceItem:
    if not item.site or item.shape is not None or item.disc is not None:
        return item
    found = [b for b in boundaries.get(item.site, ()) if b.holds(first, last)]
    if len(found) != 1:  # none on these days, or two that overlap: which one is meant cannot be told
        return item
    error_m = found[0].error_m if item.boundary_error_m is None else item.boundary_error_m
    return dataclasses.replace(item, shape=found[0].shape, disc=found[0].disc, boundary_error_m=error_m)
