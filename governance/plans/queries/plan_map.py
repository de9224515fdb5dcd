"""The map of a plan: where papers allow and exclude, and its stops, coloured by the worst of their layers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import shapely
from django.urls import reverse
from shapely.geometry.base import BaseGeometry

from governance.engine.tables import Layer
from governance.jurisdictions import outlines
from governance.papers.drawing import Area, AreaKind, MapPoint, areas_of_places
from governance.papers.drawing.version_places import boundary_shape, polygons_of
from governance.papers.lifetimes import in_force_between
from governance.papers.models import Paper, PaperVersion
from governance.papers.restriction import is_readable
from governance.plans.planned_rows import LoadedStop
from governance.plans.queries.check import PlanCheck
from governance.verdicts.cells import Cell

_MOST_PAPERS = 12
"""Areas of more papers lie on one another and tell nothing."""

_MOST_NAMED = 6
"""More stops than this have their numbers alone."""

_ABOUT_DEG = 0.25
"""How far around the stops an area may reach and still be shown whole."""


@dataclass(frozen=True)
class PlanMap:
    """Areas and points for the drawing. without_place: names of stops that cannot be drawn."""

    areas: Sequence[Area]
    points: Sequence[MapPoint]
    without_place: Sequence[str]


def plan_map(check: PlanCheck, papers: Iterable[Paper], reader: Any) -> PlanMap:
    """What the drawing shows. papers: with versions and places loaded; what the reader may not read is not drawn."""
    points, own, nowhere = [], [], []
    for number, one in enumerate(check.loaded.stops, start=1):
        name = f"{number}. {one.stop.name}"
        shape = _shape(one)
        if shape is not None:
            own.append(Area(AreaKind.FOOTPRINT, shape))
        point = _point(check, one, name if len(check.loaded.stops) <= _MOST_NAMED else str(number), shape)
        if point is None:
            nowhere.append(name)
        else:
            points.append(point)
    allowed = _allowed(check, [paper for paper in papers if is_readable(paper, reader)])
    return PlanMap([*_framed(allowed, points, own), *own], points, nowhere)


def _framed(allowed: Sequence[Area], points: Sequence[MapPoint], own: Sequence[Area]) -> list[Area]:
    """The map holds the stops, and of the papers' areas what lies about them: not all of a country."""
    if not points:
        return list(allowed)
    shown = [shapely.Point(point.longitude_deg, point.latitude_deg) for point in points] + [area.shape for area in own]
    about = shapely.box(*shapely.union_all(shown).bounds).buffer(_ABOUT_DEG)
    return [replace(area, frames=area.frames and bool(about.contains(area.shape))) for area in allowed]


def _allowed(check: PlanCheck, papers: Sequence[Paper]) -> list[Area]:
    """The places of the versions in force on the days of the trip, of papers that count for a place."""
    first = min((day for one in check.loaded.stops if (day := one.days[0])), default=check.today)
    last = max((day for one in check.loaded.stops if (day := one.days[1])), default=first)
    sites = _site_shapes(check)
    areas: list[Area] = []
    for paper in papers[:_MOST_PAPERS]:
        if not any(layer < Layer.EXPORT for layer in paper.layer_list):
            continue
        for version in in_force_between(paper, first, last):
            areas += _places(paper, version, sites)
    return areas


def _places(paper: Paper, version: PaperVersion, sites: dict[str, BaseGeometry]) -> list[Area]:
    """The places of a version; where it lists none, the issuer's jurisdiction stands in for them."""
    places = version.versionplaces.all()
    if places or not paper.jurisdiction:
        return areas_of_places(places, sites, paper.reference)
    outline = outlines.subdivisions() if "-" in paper.jurisdiction else outlines.countries()
    found = outline.get(paper.jurisdiction)
    return [Area(AreaKind.PERMITTED, found, paper.reference, frames=False)] if found is not None else []


def _site_shapes(check: PlanCheck) -> dict[str, BaseGeometry]:
    """Boundaries of the stops' sites by code and name, for papers that name a site without drawing it."""
    shapes: dict[str, BaseGeometry] = {}
    for one in check.loaded.stops:
        if one.stop.site is not None and one.boundary is not None:
            shape = boundary_shape(one.boundary)
            if shape is not None:
                shapes |= {one.stop.site.code: shape, one.stop.site.name: shape}
    return shapes


def _shape(one: LoadedStop) -> BaseGeometry | None:
    """A drawn area, or the boundary of the site, as far as it is an area."""
    if one.stop.area:
        return polygons_of(one.stop.area)
    if one.stop.longitude_deg is None and one.boundary is not None and one.boundary.polygon:
        return polygons_of(one.boundary.polygon)
    return None


def _point(check: PlanCheck, one: LoadedStop, name: str, shape: BaseGeometry | None) -> MapPoint | None:
    """The stop as a point: its own, that of its site, or one within its area."""
    cell = Cell(max(check.cells[one.stop.pk, layer].verdict for layer in Layer))
    stop, boundary = one.stop, one.boundary
    place: tuple[float, float, float | None] | None = None
    if stop.longitude_deg is not None and stop.latitude_deg is not None:
        place = (stop.longitude_deg, stop.latitude_deg, stop.radius_m)
    elif shape is not None:
        inside = shape.representative_point()
        place = (inside.x, inside.y, None)
    elif boundary is not None and boundary.longitude_deg is not None and boundary.latitude_deg is not None:
        place = (boundary.longitude_deg, boundary.latitude_deg, boundary.radius_m)
    if place is None:
        return None
    worst = max(Layer, key=lambda layer: (check.cells[stop.pk, layer].verdict, -layer))
    href = reverse("plans:plan-cell", args=[stop.plan_id, stop.pk, worst.code])
    return MapPoint(*place, data_v=cell.data_v, word=cell.word, label=name, href=href)
