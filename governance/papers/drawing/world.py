"""The world with a circle a country: how many specimens were taken there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import shapely

from governance.jurisdictions import outlines
from governance.papers.drawing.coast import countries_in
from governance.papers.drawing.labels import Label, Labels
from governance.papers.drawing.paths import path_of
from governance.papers.drawing.view import View

WIDTH, HEIGHT = 440, 200
"""About the pixels of the column that holds the map, so that its words are read at their own size."""
_WORLD = View(-180, -58, 180, 84, WIDTH, HEIGHT)
_LARGEST_CIRCLE = 13.0
_SMALLEST_CIRCLE = 1.5


@dataclass(frozen=True)
class CountryCount:
    """A country (ISO 3166-1), its name in words, and how many specimens; data_v: the verdict that colours it."""

    code: str
    name: str
    count: int
    data_v: str = ""
    href: str = ""


@dataclass(frozen=True)
class DrawnCount:
    """A circle whose area stands for the count."""

    x: float
    y: float
    r: float
    country: CountryCount


@dataclass(frozen=True)
class WorldMap:
    """All that the template of the world needs. unplaced: countries without an outline."""

    land: Sequence[str]
    circles: Sequence[DrawnCount]
    labels: Sequence[Label]
    unplaced: Sequence[CountryCount]
    width: int = WIDTH
    height: int = HEIGHT


def draw_world(counts: Sequence[CountryCount]) -> WorldMap:
    """A circle in each country, the largest first so that none is hidden; areas stand for the counts."""
    known = [count for count in counts if count.code in outlines.countries()]
    most = max((count.count for count in known), default=1)
    circles = [_circle(count, most) for count in sorted(known, key=lambda count: -count.count)]
    labels = Labels(WIDTH, HEIGHT, [(c.x - c.r, c.y - c.r, c.x + c.r, c.y + c.r) for c in circles])
    for circle in circles[:12]:
        labels.beside(f"{circle.country.name} {circle.country.count:,}", circle.x, circle.y, circle.r + 3)
    unplaced = [count for count in counts if count.code not in outlines.countries()]
    return WorldMap(_land(), circles, labels.placed, unplaced)


@cache
def _land() -> tuple[str, ...]:
    return tuple(path for country in countries_in(_WORLD) if (path := path_of(country.land, 0.5)))


@cache
def _middle(code: str) -> tuple[float, float]:
    """A place surely inside the country: on its largest piece of land."""
    largest = max(shapely.get_parts(outlines.countries()[code]), key=lambda part: part.area)
    at = shapely.point_on_surface(largest)
    return at.x, at.y


def _circle(count: CountryCount, most: int) -> DrawnCount:
    x, y = _middle(count.code)
    r = max(_LARGEST_CIRCLE * math.sqrt(count.count / most), _SMALLEST_CIRCLE)
    return DrawnCount(round(_WORLD.x(x), 1), round(_WORLD.y(y), 1), round(r, 1), count)
