"""The areas that the papers of a stop map, cut down to what they allow together."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

import numpy as np
import shapely
from pyproj import Geod
from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from governance.engine.dates import Validity
from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper, VersionPlace
from governance.plans.pack.places import place_shape
from governance.plans.pack.sources import FIELD_LAYERS, NumberedStop, PackSources, PaperAtStop

_GEOD: Final = Geod(ellps="WGS84")
DISC_CORNERS: Final = 180
"""Corners of a disc, on the circle: its sides lie inside it by 1 - cos(1 deg) = 0.015 % of the radius,
so that the polygon of an allowed disc never reaches over the circle."""


@dataclass(frozen=True)
class MappedArea:
    """An area of a paper at a stop on some days, for one layer. disc_error_m: how far its sides lie inside a disc."""

    stop: NumberedStop
    layer: Layer
    reference: str
    kind: str
    is_excluded: bool
    shape: BaseGeometry
    first: date
    last: date
    name: str
    boundary_error_m: float | None
    disc_error_m: float | None


def mapped_areas(src: PackSources) -> Iterator[MappedArea]:
    """The areas of all stops, by stop and layer. Without fixed days there is none."""
    for stop in src.stops:
        first, last = stop.one.days
        if first is not None and last is not None:
            yield from _narrowed(stop, [area for layer in FIELD_LAYERS for area in _of_layer(stop, layer, src)], src)


def _of_layer(stop: NumberedStop, layer: Layer, src: PackSources) -> Iterator[MappedArea]:
    """Of a paper on which a covered cell does not rest only what it excludes: the engine did not allow its areas."""
    is_covered = src.cell(stop, layer).verdict == Verdict.COVERED
    for at in src.papers_at(stop, (layer,)):
        for area in _of_paper(stop, layer, at, src):
            if area.is_excluded or at.is_tested or not is_covered:
                yield area


def _of_paper(stop: NumberedStop, layer: Layer, at: PaperAtStop, src: PackSources) -> Iterator[MappedArea]:
    first, last = stop.one.days
    if first is None or last is None or not src.may_read(at.paper):
        return
    for version in at.versions:
        days = src.in_force.days(at.paper, version, first, last)
        if days is not None:
            for row in version.versionplaces.all():
                valid = days if row.excluded else _valid_days(at.paper, days, src)
                if valid is not None:
                    yield from _areas(stop, layer, at.paper, row, valid, src)


def _valid_days(paper: Paper, days: tuple[date, date], src: PackSources) -> tuple[date, date] | None:
    """The first run of days on which the engine calls the paper valid, closed seasons and suspensions left out."""
    first, last = (day.toordinal() for day in days)
    bench = src.check.bench
    judged = next((one for pk, one in zip(bench.paper_ids, bench.papers, strict=True) if pk == paper.pk), None)
    if judged is None:
        return None
    for start, end in Validity(judged, (days[0].year, days[1].year)).certain_days():
        if start <= last and end >= first:
            return date.fromordinal(max(start, first)), date.fromordinal(min(end, last))
    return None


def _areas(
    stop: NumberedStop, layer: Layer, paper: Paper, row: VersionPlace, days: tuple[date, date], src: PackSources
) -> Iterator[MappedArea]:  # fmt: skip
    is_disc = not row.geojson and row.radius_m is not None
    shape = _disc_of(row) if is_disc else place_shape(row, src.outlines, *days)
    if shape is not None and not shape.is_empty:
        error = (row.radius_m or 0.0) * (1 - math.cos(math.pi / DISC_CORNERS)) if is_disc else None
        yield MappedArea(
            stop, layer, paper.reference, paper.kind, row.excluded, cut_at_antimeridian(shape), *days, row.site,
            row.boundary_error_m, error,
        )  # fmt: skip


def _narrowed(stop: NumberedStop, areas: Sequence[MappedArea], src: PackSources) -> Iterator[MappedArea]:
    """What is allowed, without what any paper of the stop excludes, and only where the covered layers beside it are
    allowed as well: a consent of the owner alone allows nobody to collect. What is left of it may be nothing."""
    excluded = [area.shape for area in areas if area.is_excluded]
    grounds = {layer: ground for layer in FIELD_LAYERS if (ground := _ground(stop, layer, areas, src)) is not None}
    for area in areas:
        shape = area.shape
        if not area.is_excluded:
            for other in excluded:
                shape = shape.difference(other) if shape.intersects(other) else shape
            for layer, ground in grounds.items():
                shape = shape if layer == area.layer or ground.covers(shape) else shape.intersection(ground)
        polygons = shape if shape is area.shape else _polygons(shape)
        if not polygons.is_empty:
            yield replace(area, shape=polygons)


def _ground(stop: NumberedStop, layer: Layer, areas: Sequence[MappedArea], src: PackSources) -> BaseGeometry | None:
    """All that the papers of a covered layer map; None where the cell is not covered, or a paper is not mapped whole:
    it lists no place, or a country, or may not be read."""
    papers = [at for at in src.papers_at(stop, (layer,)) if at.is_tested]
    if src.cell(stop, layer).verdict != Verdict.COVERED or not all(src.may_read(at.paper) for at in papers):
        return None
    mapped = [area.shape for area in areas if area.layer == layer and not area.is_excluded]
    listed = sum(
        not row.excluded for at in papers for version in at.versions for row in version.versionplaces.all()
    )  # fmt: skip
    is_whole = all(any(not row.excluded for row in v.versionplaces.all()) for at in papers for v in at.versions)
    return shapely.union_all(mapped) if mapped and is_whole and listed == len(mapped) else None


def _polygons(shape: BaseGeometry) -> BaseGeometry:
    """The polygons of what was cut; edges that merely touch are no area."""
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and part.area > 0]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def _disc_of(row: VersionPlace) -> BaseGeometry | None:
    """A disc as a polygon with corners on its circle; None for one that holds a pole or has no size."""
    longitude, latitude, radius = row.longitude_deg or 0.0, row.latitude_deg or 0.0, row.radius_m or 0.0
    if radius <= 0 or abs(latitude) + radius / 111_000 >= 90:
        return None
    bearings = np.linspace(0, 360, DISC_CORNERS, endpoint=False)
    ones = np.ones(DISC_CORNERS)
    east, north, _back = _GEOD.fwd(ones * longitude, ones * latitude, bearings, ones * radius)
    unwrapped = longitude + (np.asarray(east) - longitude + 180) % 360 - 180
    return Polygon(np.column_stack([unwrapped, north]))


def cut_at_antimeridian(shape: BaseGeometry) -> BaseGeometry:
    """The same area within -180 to 180, cut at the 180th meridian (RFC 7946, 3.1.9)."""
    west, _south, east, _north = shape.bounds
    if west >= -180 and east <= 180:
        return shape
    parts = [
        part
        for turn in (-360, 0, 360)
        for part in shapely.get_parts(shapely.clip_by_rect(affinity.translate(shape, turn), -180, -90, 180, 90))
        if part.geom_type == "Polygon" and part.area > 0
    ]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)
