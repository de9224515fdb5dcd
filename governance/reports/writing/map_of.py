"""The map of a report: the areas it is about, and the places where something was taken."""

from __future__ import annotations

import json
from collections import Counter
from typing import Final

import shapely
from shapely.geometry import shape

from governance.papers.drawing import Area, AreaKind, MapPoint
from governance.papers.printed.blocks import Block, Cell, MapOf, Para, Table, plain
from governance.reports.contents import MapData, Point
from governance.reports.writing.pen import Pen

_WITHOUT_NAMES: Final = frozenset({"landowner"})
"""Kinds of one page or two: the owner knows the land."""

_MOST_NUMBERED: Final = 15
"""Points that have a number on the map; more would stand on each other."""


def map_blocks(pen: Pen, drawn: MapData | None) -> list[Block]:
    """The map with the names of its points below; one sentence where nothing has a place."""
    if drawn is None or not (drawn.areas or drawn.points):
        return [Para(plain(pen.w("nothing_to_draw")))]
    areas = [Area(AreaKind.SITE, outline, name) for name, outline in map(_outline, drawn.areas) if outline is not None]
    places = _places(drawn)
    numbered = len(places) <= _MOST_NUMBERED and len(places) > 1
    points = [
        MapPoint(point.longitude_deg, point.latitude_deg, point.radius_m, count=count,
                 label=_label(pen, point, number) if numbered else "")
        for number, (point, count) in enumerate(places, 1)
    ]  # fmt: skip
    made = MapOf(_alt(pen, drawn), _key(pen, drawn), areas, points)
    return [made, *(_names(pen, places) if numbered and pen.contents.kind not in _WITHOUT_NAMES else [])]


def _label(pen: Pen, point: Point, number: int) -> str:
    """The number that the table below names; without a table the code of the site, in letters that pictures have."""
    is_named = pen.contents.kind not in _WITHOUT_NAMES
    return str(number) if is_named or not point.label.isascii() else point.label


def _outline(named: tuple[str, str]) -> tuple[str, shapely.Geometry | None]:
    name, text = named
    found = shape(json.loads(text))
    return name, None if found.is_empty else found


def _places(drawn: MapData) -> list[tuple[Point, int]]:
    """Different places, with how many points lie there."""
    return list(Counter(drawn.points).items())


def _alt(pen: Pen, drawn: MapData) -> str:
    return pen.w.pair(pen.w.of("parts", "map"), _key(pen, drawn))


def _key(pen: Pen, drawn: MapData) -> str:
    told = [pen.w("map_areas", n=len(drawn.areas))] if drawn.areas else []
    told += [pen.w("map_points", n=len(_places(drawn)))] if drawn.points else []
    if any(point.radius_m for point in drawn.points):
        told.append(pen.w("map_circles"))
    return " ".join(told)


def _names(pen: Pen, places: list[tuple[Point, int]]) -> list[Block]:
    """The numbers of the map in a table: what they are called, and how well each is known."""
    rows = []
    for number, (point, _count) in enumerate(places, 1):
        known = (
            pen.w("known_to", distance=pen.w.distance(point.radius_m)) if point.radius_m else pen.w("radius_unknown")
        )
        at = f"{pen.w.amount(f'{point.latitude_deg:.5f}')}; {pen.w.amount(f'{point.longitude_deg:.5f}')}"
        rows.append([Cell([plain(text)]) for text in (str(number), point.label, at, known)])
    w = pen.w
    heads = [w.of("columns", "number"), w.of("columns", "site"), w("position"), w("how_well")]
    return [Table(w("places"), heads, rows, [6, 46, 24, 24], small=True, fine_head=True)]
