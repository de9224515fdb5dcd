"""The small map in the corner of a close one: where in its country, or on its coast, this place is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from governance.jurisdictions import outlines
from governance.papers.drawing.coast import countries_in
from governance.papers.drawing.pieces import Area, AreaKind, MapPoint
from governance.papers.drawing.view import View, view_of

WIDTH, HEIGHT = 104.0, 80.0
_AT_SEA_RADIUS_M = 400_000.0


@dataclass(frozen=True)
class Locator:
    """Land around a place, the own land of its country, and where the place is."""

    land: Sequence[str]
    own: str
    x: float
    y: float
    left: float = 8.0
    width: float = WIDTH
    height: float = HEIGHT


def corner_of(view: View, points: Sequence[tuple[float, float]]) -> float:
    """Where the small map starts on the upper edge: on the left, unless one of the points (in units) lies under it."""
    on_left = any(x < WIDTH + 16 and y < HEIGHT + 16 for x, y in points)
    return view.width - WIDTH - 48 if on_left else 8.0


def locate(view: View, left: float = 8.0) -> Locator | None:
    """The piece of the country in which the middle of a view lies; at sea, what lies around it."""
    longitude = ((view.west + view.east) / 2 + 180) % 360 - 180
    latitude = (view.south + view.north) / 2
    codes = outlines.countries_at([longitude], [latitude])[0]
    code = codes[0] if len(codes) == 1 else ""
    small = view_of([_around(code, longitude, latitude)], [MapPoint(longitude, latitude)], WIDTH, HEIGHT)
    if small is None:
        return None
    lands = countries_in(small)
    return Locator(
        [country.path for country in lands if country.code != code],
        "".join(country.path for country in lands if code and country.code == code),
        round(small.x(longitude), 1),
        round(small.y(latitude), 1),
        left,
    )


def _around(code: str, longitude_deg: float, latitude_deg: float) -> Area:
    """The polygon of the country that holds the place, not the islands of the country elsewhere."""
    if code:
        parts = shapely.get_parts(outlines.countries()[code])
        holding = parts[shapely.intersects_xy(parts, longitude_deg, latitude_deg)]
        if len(holding):
            west, south, east, north = shapely.bounds(holding[0])
            if np.isfinite(west) and east - west < 120:
                return Area(AreaKind.SITE, shapely.box(west, south, east, north))
    return Area.disc(AreaKind.SITE, longitude_deg, latitude_deg, _AT_SEA_RADIUS_M)
