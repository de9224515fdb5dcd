"""A plan as it was let go: the version that was signed off, else the newest, as rows that nothing saves."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from accessions.sites.models import Site, SiteBoundary
from accessions.values import split_list, split_people
from governance.engine.edges import Edges, edges_of
from governance.engine.geodesy import geodesic_m, holds
from governance.plans.models import Consignment, FieldPlan, PlanVersion, Stop, StopTarget, StopTrap
from governance.plans.planned_places import place_cells
from governance.plans.planned_rows import LoadedStop
from governance.plans.queries.contents import HOME, STOP, TARGET, TRAP, Contents, contents
from governance.plans.queries.loading import holding
from governance.plans.queries.signed import standing_sign_off

Period = tuple[date | None, date | None]
"""First and last day; None where it is not fixed."""


@dataclass(frozen=True)
class PlannedStop:
    """One stop of a kept version. number: its place in the plan, from 1. It is not saved, and its stop may be gone."""

    number: int
    loaded: LoadedStop

    @property
    def stop(self) -> Stop:
        return self.loaded.stop

    @property
    def name(self) -> str:
        return f"{self.number}. {self.stop.name}"

    @cached_property
    def people(self) -> tuple[str, ...]:
        return split_people(self.stop.people)

    @cached_property
    def methods(self) -> tuple[str, ...]:
        return (*split_list(self.stop.methods), *(trap.method for trap in self.loaded.traps))

    def period_of(self, methods: Sequence[str]) -> Period:
        """When these ways of taking were planned; for a way that was not planned, the days of the whole stop."""
        wanted = {method.casefold() for method in methods}
        own = [(self.stop.first_on, self.stop.last_on)] if wanted & _folded(split_list(self.stop.methods)) else []
        own += [(trap.first_on, trap.last_on) for trap in self.loaded.traps if trap.method.casefold() in wanted]
        if not own:
            return self.loaded.days
        return (
            None if any(first is None for first, _ in own) else min(first for first, _ in own if first),
            None if any(last is None for _, last in own) else max(last for _, last in own if last),
        )

    def distance_m(self, longitude_deg: float, latitude_deg: float) -> float | None:
        """Metres from a point to the planned ground, geodesic on WGS84; 0 within it, None where no ground is known."""
        if self._polygon is not None:
            lon, lat = np.array([longitude_deg]), np.array([latitude_deg])
            return 0.0 if holds(self._polygon, lon, lat)[0] else float(self._edges.distance_m(lon, lat)[0])
        if self._centre is None:
            return None
        (centre_lon, centre_lat), reach_m = self._centre
        apart = geodesic_m(*(np.array([n]) for n in (centre_lon, centre_lat, longitude_deg, latitude_deg)))
        return max(0.0, float(apart[0]) - reach_m)

    @cached_property
    def _cells(self) -> dict[str, str]:
        return dict(place_cells(self.stop, self.loaded.boundaries, {}))

    @cached_property
    def _polygon(self) -> BaseGeometry | None:
        text = self._cells.get("footprintWKT")
        return shapely.from_wkt(text) if text else None

    @cached_property
    def _edges(self) -> Edges:
        return edges_of(self._polygon)

    @cached_property
    def _centre(self) -> tuple[tuple[float, float], float] | None:
        """A point and the radius around it; a radius that is not known reaches nowhere."""
        cells = self._cells
        if not cells.get("decimalLongitude"):
            return None
        point = float(cells["decimalLongitude"]), float(cells["decimalLatitude"])
        return point, float(cells.get("coordinateUncertaintyInMeters") or 0)


@dataclass(frozen=True)
class AsPlanned:
    """What the plan said. version: None where none was kept; is_signed: it is the one that was signed off."""

    plan: FieldPlan
    version: PlanVersion | None
    is_signed: bool
    stops: tuple[PlannedStop, ...]
    homes: tuple[Consignment, ...]


def as_planned(plan: FieldPlan) -> AsPlanned:
    """The version that was signed off, else the newest, else the plan as it stands. Four queries; nine without any."""
    sign_off = standing_sign_off(plan)
    version = sign_off.version if sign_off else plan.versions.order_by("-number").first()
    kept = version.contents if version else contents(plan)
    homes = [Consignment(pk=row["key"], plan=plan, **_of(row, HOME)) for row in kept["ways_home"]]
    sites = Site.objects.in_bulk([row["site"]["key"] for row in kept["stops"] if row["site"]])
    boundaries = _boundaries(list(sites))
    stops = [
        PlannedStop(number, _loaded(plan, row, sites, boundaries, homes))
        for number, row in enumerate(kept["stops"], start=1)
    ]
    return AsPlanned(plan, version, sign_off is not None, tuple(stops), tuple(homes))


def _loaded(
    plan: FieldPlan,
    row: Contents,
    sites: dict[int, Site],
    boundaries: dict[int, list[SiteBoundary]],
    homes: Sequence[Consignment],
) -> LoadedStop:
    stop = Stop(pk=row["key"], plan=plan, site=sites.get(row["site"]["key"]) if row["site"] else None, **_of(row, STOP))
    targets = tuple(StopTarget(stop=stop, **_of(target, TARGET)) for target in row["targets"])
    traps = tuple(StopTrap(stop=stop, **_of(trap, TRAP)) for trap in row["traps"])
    own = next((home for home in homes if home.pk == row["way_home"]), None)
    home = own or (homes[0] if homes and row["way_home"] is None else None)
    held = holding(boundaries.get(stop.site_id or 0, ()), *LoadedStop(stop, targets, traps, home).days)
    return LoadedStop(stop, targets, traps, home, held)


def _of(row: Contents, names: Sequence[str]) -> dict[str, Any]:
    return {name: _day(row[name]) if name in ("first_on", "last_on") else row[name] for name in names}


def _day(iso: str | None) -> date | None:
    return date.fromisoformat(iso) if iso else None


def _boundaries(sites: Sequence[int]) -> dict[int, list[SiteBoundary]]:
    found: dict[int, list[SiteBoundary]] = defaultdict(list)
    for boundary in SiteBoundary.objects.filter(site__in=sites):
        found[boundary.site_id].append(boundary)
    return found


def _folded(words: Sequence[str]) -> set[str]:
    return {word.casefold() for word in words}
