"""A map of areas and points as numbers for a template: land, areas, circles to scale, labels, scale bar, key."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from governance.jurisdictions import codes
from governance.papers.drawing.coast import Country, countries_in
from governance.papers.drawing.labels import Box, Label, Labels
from governance.papers.drawing.locator import HEIGHT as LOCATOR_HEIGHT
from governance.papers.drawing.locator import WIDTH as LOCATOR_WIDTH
from governance.papers.drawing.locator import Locator, corner_of, locate
from governance.papers.drawing.paths import path_of
from governance.papers.drawing.pieces import Area, AreaKind, MapPoint
from governance.papers.drawing.scale import (
    NORTH_CORNER,
    SCALE_CORNER,
    GridLine,
    ScaleBar,
    meridians,
    parallels,
    scale_bar,
)
from governance.papers.drawing.view import View, view_of

SIZES = {"side": (448, 300), "wide": (920, 460), "page": (920, 500)}
"""Width and height of a drawing, for a panel of four columns, of eight, and for a page of its own."""

ORIENTATION_SPAN_M = 60_000.0
"""A map narrower than this is finer than its coastline, whose error is 5 km: the map says so."""

_DOT = 5.0
_ORDER = ("", "covered", "notreq", "cannot", "straddle", "outside", "missing")
_SMALLEST_NAMED = 2500.0
"""Units of area above which a country in sight is named."""


@dataclass(frozen=True)
class DrawnArea:
    """An area as a path. style: ``permit``, ``excl`` or ``prot``."""

    style: str
    path: str
    label: str


@dataclass(frozen=True)
class DrawnPoint:
    """A point in units of the drawing, with the half axes of its circle (0 where the radius is not known)."""

    x: float
    y: float
    reach_x: float
    reach_y: float
    point: MapPoint


@dataclass(frozen=True)
class VerdictKey:
    """One verdict among the points, and how many specimens have it."""

    data_v: str
    word: str
    count: int


@dataclass(frozen=True)
class AreaMap:
    """All that the template of a map needs.

    empty: there was nothing to draw. everywhere: labels of areas that hold all of the map, and so are not drawn.
    """

    width: int
    height: int
    land: Sequence[str] = ()
    areas: Sequence[DrawnArea] = ()
    points: Sequence[DrawnPoint] = ()
    labels: Sequence[Label] = ()
    meridians: Sequence[GridLine] = ()
    parallels: Sequence[GridLine] = ()
    scale: ScaleBar | None = None
    only_orientation: bool = False
    locator: Locator | None = None
    kinds: frozenset[AreaKind] = frozenset()
    verdicts: Sequence[VerdictKey] = ()
    has_circles: bool = False
    span_m: tuple[float, float] = (0.0, 0.0)
    empty: bool = False
    specimens: int = 0
    everywhere: Sequence[str] = ()

    @property
    def has_links(self) -> bool:
        """Whether a point leads somewhere: then the drawing is no picture but a group of links."""
        return any(drawn.point.href for drawn in self.points)


def draw_map(
    areas: Sequence[Area] = (),
    points: Sequence[MapPoint] = (),
    size: str = "side",
    *,
    points_frame: bool = False,
) -> AreaMap:
    """Draw areas and points on the land around them.

    Args:
        areas: in the order in which they are laid on; an empty shape is left out.
        points: several at one place are best given as one with their ``count``.
        size: a key of ``SIZES``.
        points_frame: whether points are enough to choose the window by; else areas do that where none of them frames.

    Raises:
        KeyError: the size is none of ``SIZES``.
    """
    width, height = SIZES[size]
    areas = [area for area in areas if not area.shape.is_empty]
    framing = [area for area in areas if area.frames] or ([] if points_frame and points else areas)
    view = view_of(framing, points, width, height)
    if view is None:
        return AreaMap(width, height, empty=True)
    everywhere = [area for area in areas if not area.frames and _holds_all(area, view)]
    areas = [area for area in areas if all(area is not other for other in everywhere)]
    lands = countries_in(view)
    close = view.m_per_unit * width < ORIENTATION_SPAN_M
    shapes = [view.project(area.shape) for area in areas]
    drawn = [_drawn(point, view) for point in sorted(points, key=lambda point: _ORDER.index(point.data_v))]
    corner = corner_of(view, [(point.x, point.y) for point in drawn])
    return AreaMap(
        width, height,
        land=[country.path for country in lands if country.path],
        areas=[DrawnArea(area.kind, path_of(shape), area.label) for area, shape in zip(areas, shapes, strict=True)],
        points=drawn,
        labels=_labels(view, areas, shapes, drawn, lands, corner if close else None),
        meridians=meridians(view),
        parallels=parallels(view),
        scale=scale_bar(view),
        only_orientation=close,
        locator=locate(view, corner) if close else None,
        kinds=frozenset(area.kind for area in areas),
        verdicts=_verdicts(points),
        has_circles=any(point.radius_m for point in points),
        span_m=(view.m_per_unit * width, view.m_per_unit * height),
        specimens=sum(point.count for point in points),
        everywhere=[area.label for area in everywhere if area.label],
    )  # fmt: skip


def _holds_all(area: Area, view: View) -> bool:
    """Whether an area holds the whole window, so that no edge of it would be seen."""
    return bool(shapely.area(shapely.difference(view.box(), shapely.clip_by_rect(area.shape, *view.box().bounds))) == 0)


def _drawn(point: MapPoint, view: View) -> DrawnPoint:
    reach_x, reach_y = point.reach_deg
    per_degree_x = view.width / (view.east - view.west)
    return DrawnPoint(
        round(view.x(point.longitude_deg), 1),
        round(view.y(point.latitude_deg), 1),
        round(min(reach_x * per_degree_x, 2 * view.width), 1),
        round(reach_y * view.units_per_degree, 1),
        point,
    )


def _verdicts(points: Sequence[MapPoint]) -> list[VerdictKey]:
    """How many specimens have each verdict, best first."""
    counts: Counter[tuple[str, str]] = Counter()
    for point in points:
        if point.data_v:
            counts[point.data_v, point.word] += point.count
    return [VerdictKey(v, word, n) for (v, word), n in sorted(counts.items(), key=lambda x: _ORDER.index(x[0][0]))]


def _labels(
    view: View,
    areas: Sequence[Area],
    shapes: Sequence[BaseGeometry],
    points: Sequence[DrawnPoint],
    lands: Sequence[Country],
    corner: float | None,
) -> list[Label]:
    """Names of points first, then of areas, then of countries: what finds no room is told in the table beside."""
    labels = Labels(view.width, view.height, [*_fittings(view, corner), *(_dot_box(point) for point in points)])
    for drawn in reversed(points):
        if drawn.point.label:
            labels.beside(drawn.point.label, drawn.x, drawn.y, _DOT + 4, "strong")
    for area, shape in zip(areas, shapes, strict=True):
        if area.label and not shape.is_empty:
            _name_area(labels, area, _seen(shape, view))
    named = [country for country in lands if country.code and country.land.area > _SMALLEST_NAMED]
    for country in sorted(named, key=lambda country: -country.land.area)[:8] if len(named) > 1 else ():
        at = shapely.point_on_surface(_largest(_seen(country.land, view)))
        labels.centred(codes.country_name(country.code), at.x, at.y, "land-t")
    return labels.placed


def _fittings(view: View, corner: float | None) -> list[Box]:
    """What stands at the edges: scale below left, north above right, degrees below and right, the small map."""
    small = [] if corner is None else [(corner - 8, 0.0, corner + LOCATOR_WIDTH + 2, LOCATOR_HEIGHT + 10)]
    return [
        *small,
        (0, view.height - 44, view.width * SCALE_CORNER, view.height),
        (view.width - 36, 0, view.width, NORTH_CORNER),
        (view.width * SCALE_CORNER, view.height - 16, view.width, view.height),
        *((view.width - 60, line.at - 6, view.width, line.at + 6) for line in parallels(view) if line.text),
    ]


def _dot_box(point: DrawnPoint) -> Box:
    return point.x - _DOT, point.y - _DOT, point.x + _DOT, point.y + _DOT


def _name_area(labels: Labels, area: Area, shape: BaseGeometry) -> None:
    """Inside its upper edge if it is wide enough, else above or below it."""
    if shape.is_empty:
        return
    at = shapely.point_on_surface(_largest(shape))
    x_min, y_min, x_max, y_max = _largest(shape).bounds
    style = "out" if area.kind is AreaKind.EXCLUDED else ""
    middle = (x_min + x_max) / 2
    for x, y in ((middle, y_min + 14), (middle, y_min - 10), (middle, y_max + 10), (at.x, at.y)):
        if labels.centred(area.label, x, y, style):
            return


def _seen(shape: BaseGeometry, view: View) -> BaseGeometry:
    seen: BaseGeometry = shapely.clip_by_rect(shape, 0, 0, view.width, view.height)
    return seen


def _largest(shape: BaseGeometry) -> BaseGeometry:
    return max(shapely.get_parts(shape), key=lambda part: part.area, default=shape)
