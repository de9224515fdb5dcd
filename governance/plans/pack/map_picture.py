"""The map of a stop as a picture, for files that hold no drawings: the same window and shapes as on the page."""

from __future__ import annotations

import io
from collections.abc import Iterator
from functools import lru_cache
from typing import Final

import shapely
from PIL import Image, ImageDraw, ImageFont
from shapely.geometry.base import BaseGeometry

from governance.papers.drawing import AreaKind, MapPoint
from governance.papers.drawing.coast import countries_in
from governance.papers.drawing.scale import scale_bar
from governance.papers.drawing.view import View, view_of
from governance.papers.printed.blocks import MapOf

WIDTH, HEIGHT = 1000, 500
_SEA, _LAND, _SHORE, _INK = "#e6eef1", "#f6f8f4", "#a9b8ae", "#13262d"
_GREEN, _ORANGE = "#0a6549", "#a03406"
_HATCH: Final = 14
_DASH: Final = 12


def map_picture(drawn: MapOf) -> bytes | None:
    """The map as PNG; None where there is nothing to draw. Included areas green, excluded ones hatched."""
    framing = [area for area in drawn.areas if area.frames]
    view = view_of(framing, drawn.points, WIDTH, HEIGHT)
    if view is None:
        return None
    picture = Image.new("RGB", (WIDTH, HEIGHT), _SEA)
    pen = ImageDraw.Draw(picture)
    for country in countries_in(view):
        for part in shapely.get_parts(country.land):
            pen.polygon(_ring(part.exterior), fill=_LAND, outline=_SHORE)
    for area in drawn.areas:
        _area(picture, view.project(area.shape), area.kind)
    for point in drawn.points:
        _point(ImageDraw.Draw(picture), point, view)
    _fittings(ImageDraw.Draw(picture), view)
    out = io.BytesIO()
    picture.quantize(48, Image.Quantize.FASTOCTREE).save(out, "PNG")
    return out.getvalue()


def _ring(ring: BaseGeometry) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y, *_ in ring.coords]


def _area(picture: Image.Image, shape: BaseGeometry, kind: AreaKind) -> None:
    """Filled thinly and outlined; an excluded area is hatched, so that it is told apart without colour."""
    if shape.is_empty:
        return
    mask = Image.new("L", picture.size, 0)
    cut = ImageDraw.Draw(mask)
    for part in shapely.get_parts(shape):
        cut.polygon(_ring(part.exterior), fill=255)
        for hole in part.interiors:
            cut.polygon(_ring(hole), fill=0)
    if kind == AreaKind.EXCLUDED:
        picture.paste(_hatched(), (0, 0), Image.composite(mask, Image.new("L", mask.size, 0), _hatch_mask()))
    elif kind == AreaKind.PERMITTED:
        picture.paste(_GREEN, (0, 0), mask.point(lambda value: value // 8))
    colour = {AreaKind.EXCLUDED: _ORANGE, AreaKind.PERMITTED: _GREEN}.get(kind, _INK)
    pen = ImageDraw.Draw(picture)
    for ring in shapely.get_rings(shapely.get_parts(shape)):
        pen.line(_ring(ring), fill=colour, width=4)


@lru_cache
def _hatched() -> Image.Image:
    return Image.new("RGB", (WIDTH, HEIGHT), _ORANGE)


@lru_cache
def _hatch_mask() -> Image.Image:
    mask = Image.new("L", (WIDTH, HEIGHT), 0)
    pen = ImageDraw.Draw(mask)
    for start in range(-HEIGHT, WIDTH, _HATCH):
        pen.line([(start, HEIGHT), (start + HEIGHT, 0)], fill=255, width=2)
    return mask


def _point(pen: ImageDraw.ImageDraw, point: MapPoint, view: View) -> None:
    x, y = view.x(point.longitude_deg), view.y(point.latitude_deg)
    reach_x, reach_y = point.reach_deg
    rx, ry = reach_x / (view.east - view.west) * view.width, reach_y * view.units_per_degree
    if rx > 3:
        for start in range(0, 360, _DASH * 2):
            pen.arc([x - rx, y - ry, x + rx, y + ry], start, start + _DASH, fill=_INK, width=3)
    pen.ellipse([x - 8, y - 8, x + 8, y + 8], fill=_INK, outline="white", width=2)
    if point.label:
        pen.text((x + 14, y - 18), point.label, fill=_INK, font=_font(30), stroke_width=3, stroke_fill="white")


def _fittings(pen: ImageDraw.ImageDraw, view: View) -> None:
    """Scale and north."""
    bar = scale_bar(view)
    if bar is not None:
        left, top = 40, HEIGHT - 36
        for line in _bar(left, top, bar.length):
            pen.line(line, fill=_INK, width=4)
        pen.text((left, top - 42), bar.text, fill=_INK, font=_font(26), stroke_width=3, stroke_fill="white")
    x = WIDTH - 50
    pen.line([(x, 24), (x, 72)], fill=_INK, width=4)
    pen.polygon([(x - 11, 40), (x, 16), (x + 11, 40)], fill=_INK)
    pen.text((x, 76), "N", fill=_INK, font=_font(26), anchor="ma", stroke_width=3, stroke_fill="white")


def _bar(left: float, top: float, length: float) -> Iterator[list[tuple[float, float]]]:
    yield [(left, top), (left + length, top)]
    yield [(left, top - 8), (left, top + 8)]
    yield [(left + length, top - 8), (left + length, top + 8)]


def _font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size)
