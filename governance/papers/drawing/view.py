"""The window of a map: which part of the world, and where each degree of it falls on the paper.

Equirectangular with the scale of the middle latitude: straight edges in longitude and latitude stay straight (as the
areas mean them), and shapes are true near the middle.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from governance.papers.drawing.pieces import Area, MapPoint

MARGIN_SHARE = 0.12
"""Free space around what is shown, as a share of its size on each side."""

SMALLEST_SPAN_DEG = 0.009
"""A view is never narrower (about 1 km): a lone point without a radius would have no size at all."""

M_PER_DEGREE = 111_320.0
_NARROWEST_COSINE = 0.02


@dataclass(frozen=True)
class View:
    """A window: west may be below -180 and east above 180 where the map crosses the 180th meridian."""

    west: float
    south: float
    east: float
    north: float
    width: float
    height: float

    @property
    def units_per_degree(self) -> float:
        """Units of the drawing for a degree of latitude."""
        return self.height / (self.north - self.south)

    @property
    def m_per_unit(self) -> float:
        """Metres for a unit of the drawing, in the middle of the map."""
        return M_PER_DEGREE / self.units_per_degree

    def x(self, longitude_deg: float) -> float:
        """Where a longitude falls, after whole turns that bring it into the window if any can."""
        turned = self.west + (longitude_deg - self.west) % 360
        if turned > self.east and turned - 360 >= self.west - (turned - self.east):
            turned -= 360
        return (turned - self.west) / (self.east - self.west) * self.width

    def y(self, latitude_deg: float) -> float:
        """Where a latitude falls; north is up."""
        return (self.north - latitude_deg) * self.units_per_degree

    def box(self) -> BaseGeometry:
        """The window in degrees."""
        return shapely.box(self.west, self.south, self.east, self.north)

    def project(self, shape: BaseGeometry) -> BaseGeometry:
        """The part of a shape that the window shows, in units of the drawing; every turn of it that is in sight."""
        slack = (self.east - self.west) * 0.02
        window = (self.west - slack, self.south - slack, self.east + slack, self.north + slack)
        parts = [
            part
            for turn in (-360, 0, 360)
            for part in shapely.get_parts(shapely.clip_by_rect(affinity.translate(shape, turn), *window))
            if part.geom_type == "Polygon" and not part.is_empty
        ]
        k_x, k_y = self.width / (self.east - self.west), self.units_per_degree
        scaled: BaseGeometry = shapely.transform(
            shapely.MultiPolygon(parts),
            lambda xy: np.column_stack([(xy[:, 0] - self.west) * k_x, (self.north - xy[:, 1]) * k_y]),
        )
        return scaled


def view_of(areas: Sequence[Area], points: Sequence[MapPoint], width: float, height: float) -> View | None:
    """The window that holds all areas and all points with their circles, with a margin; None if there is nothing."""
    boxes = [part.bounds for area in areas for part in shapely.get_parts(area.shape) if not part.is_empty]
    boxes += [_box_of(point) for point in points]
    if not boxes:
        return None
    west, east = around((box[0], box[2]) for box in boxes)
    return _fitted(west, min(box[1] for box in boxes), east, max(box[3] for box in boxes), width, height)


def _box_of(point: MapPoint) -> tuple[float, float, float, float]:
    dx, dy = point.reach_deg
    x, y = point.longitude_deg, point.latitude_deg
    return x - dx, max(y - dy, -90.0), x + dx, min(y + dy, 90.0)


def around(spans: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """The shortest stretch of longitude that holds all spans, found by its opposite: the widest gap on the circle.

    >>> around([(10, 12), (14, 15)])
    (10.0, 15.0)
    >>> around([(178, 180), (-180, -177)])
    (178.0, 183.0)
    """
    ordered = sorted((first % 360, last - first) for first, last in spans)
    if any(length >= 360 for _, length in ordered):
        return -180.0, 180.0
    reached = max(start + length for start, length in ordered) - 360
    widest, west = 0.0, ordered[0][0]
    for start, length in ordered:
        if start - reached > widest:
            widest, west = start - reached, start
        reached = max(reached, start + length)
    if widest <= 0:
        return -180.0, 180.0
    west = float(west if west < 180 else west - 360)
    return west, west + 360 - widest


def _fitted(west: float, south: float, east: float, north: float, width: float, height: float) -> View:
    """The window with its margin, widened on one axis to the proportions of the drawing."""
    cosine = max(math.cos(math.radians((south + north) / 2)), _NARROWEST_COSINE)
    tall = max((north - south) * (1 + 2 * MARGIN_SHARE), SMALLEST_SPAN_DEG)
    wide = max((east - west) * (1 + 2 * MARGIN_SHARE), SMALLEST_SPAN_DEG / cosine)
    tall = max(tall, wide * cosine * height / width)
    wide = tall / cosine * width / height
    if wide > 360:
        wide, tall = 360.0, 360.0 * cosine * height / width
    x, y = (west + east) / 2, (south + north) / 2
    return View(x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2, width, height)
