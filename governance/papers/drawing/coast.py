"""Land under a map: the outlines of countries that the window shows, cut and simplified to what can be seen.

Source: Natural Earth 1:10m, see ``governance/docs/decisions/0002-outlines.md``. Finer than its error (5 km) the land is
orientation only, and the map says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache

import numpy as np
import numpy.typing as npt
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from governance.jurisdictions import outlines
from governance.papers.drawing.paths import path_of
from governance.papers.drawing.view import View

WORLD_TOLERANCE_DEG = 0.15
"""How far the simplified outlines of wide maps may lie from the fine ones."""

_WIDE_DEG = 60.0


@dataclass(frozen=True)
class Country:
    """A country in sight: its code ("" where several claim the land) and its land in units of the drawing."""

    code: str
    land: BaseGeometry

    @cached_property
    def path(self) -> str:
        """The land as a path; kept with the country, which is kept for the view."""
        return path_of(self.land)


@cache
def _parts(fine: bool) -> tuple[shapely.STRtree, npt.NDArray[np.str_]]:
    """A tree of all polygons of all countries, and the code of each; the coarse ones without what is too small to see.

    The fine ones hold 550 000 corners, read once in a process.
    """
    codes, polygons = [], []
    for mapping, coded in ((outlines.countries(), True), (outlines.unassigned(), False)):
        for code in mapping:
            parts = shapely.get_parts(mapping[code])
            polygons.append(parts)
            codes += [code if coded else ""] * len(parts)
    all_parts, names = np.concatenate(polygons), np.array(codes)
    if not fine:
        simple = shapely.simplify(all_parts, WORLD_TOLERANCE_DEG)
        kept = ~shapely.is_empty(simple) & (shapely.area(simple) > WORLD_TOLERANCE_DEG**2)
        all_parts, names = simple[kept], names[kept]
    return shapely.STRtree(all_parts), names


def countries_in(view: View) -> Sequence[Country]:
    """The countries that a view shows, in the order of their codes. Cached for the view."""
    return _countries_in(view)


@lru_cache(maxsize=256)
def _countries_in(view: View) -> tuple[Country, ...]:
    tree, names = _parts(view.east - view.west < _WIDE_DEG)
    found: dict[str, list[BaseGeometry]] = {}
    for turn in (-360, 0, 360):
        window = affinity.translate(view.box(), -turn)
        for row in np.sort(tree.query(window)).tolist():
            part = shapely.clip_by_rect(tree.geometries[row], *_widened(window.bounds))
            if not part.is_empty:
                found.setdefault(str(names[row]), []).append(affinity.translate(part, turn))
    # The outlines are cut before they are simplified: a coast of thousands of corners becomes a few that can be seen.
    lands = ((code, view.project(_polygons(parts))) for code, parts in sorted(found.items()))
    return tuple(Country(code, land) for code, land in lands if not land.is_empty)


def _widened(bounds: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    """A little more than the window, so that the cut itself lies out of sight."""
    slack = (bounds[2] - bounds[0]) * 0.02
    return bounds[0] - slack, bounds[1] - slack, bounds[2] + slack, bounds[3] + slack


def _polygons(shapes: Sequence[BaseGeometry]) -> BaseGeometry:
    parts = [part for shape in shapes for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
    return shapely.MultiPolygon(parts)
