"""Small worlds for generated registers: points, areas and outlines that meet at their edges.

Each world is about one difficulty: ``PLAIN`` neighbouring areas and an exclusion inside one, ``SEAM`` the antimeridian
and the poles, ``WIDE`` a country that can be read narrowly or widely, ``TILES`` many areas that meet.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from governance.engine.tables import BoolColumn, FloatColumn, Outlines, PlaceItem

Point = tuple[float, float]


@dataclass(frozen=True)
class World:
    """points: where specimens are. sizes: half widths of footprints, degrees. areas, discs: what papers list.

    stated: codes that specimens state (the country that most points lie in first). jurisdictions: of papers.
    """

    points: tuple[Point, ...]
    sizes: tuple[float, ...]
    areas: tuple[BaseGeometry, ...]
    discs: tuple[tuple[float, float, float], ...]
    outlines: Outlines
    stated: tuple[str, ...]
    subdivision: str
    jurisdictions: tuple[str, ...]

    def footprint(self, point: Point, size: float) -> BaseGeometry:
        """A box about a point; two where it crosses the antimeridian; kept below the poles."""
        lon, lat = point
        south, north = max(lat - size, -90.0), min(lat + size, 90.0)
        if abs(lon) + size <= 180.0:
            return box(lon - size, south, lon + size, north)
        side = 1.0 if lon > 0 else -1.0
        beyond = abs(lon) + size - 180.0
        parts = [sorted((side * (abs(lon) - size), side * 180.0)), sorted((-side * 180.0, -side * (180.0 - beyond)))]
        return MultiPolygon([box(west, south, east, north) for west, east in parts if west < east])

    @property
    def named(self) -> tuple[PlaceItem, ...]:
        """Countries and subdivisions that papers list, one of them without an outline."""
        codes = [code for code in self.outlines.countries] + ["SE"]
        countries = [PlaceItem(country=code) for code in codes]
        subdivisions = [PlaceItem(subdivision=code) for code in self.outlines.subdivisions]
        return (*countries, *subdivisions)


WEST, EAST = box(9.90, 49.90, 10.00, 50.00), box(10.00, 49.90, 10.10, 50.00)
POND = box(9.94, 49.94, 9.96, 49.96)
_AT, _CZ = box(9.0, 49.0, 10.05, 51.0), box(10.05, 49.0, 12.0, 51.0)

PLAIN = World(
    points=((9.95, 49.95), (9.97, 49.97), (9.9995, 49.95), (10.0003, 49.95), (10.05, 49.95), (10.2, 49.95),
            (9.92, 49.9), (9.9405, 49.95), (50.0, 9.95), (-9.95, 49.95), (13.5, 49.5), (9.9501, 50.3)),
    sizes=(0.0005, 0.01, 0.2),
    areas=(WEST, EAST, POND),
    discs=((9.95, 49.95, 1500.0), (9.95, 49.95, 6000.0)),
    outlines=Outlines(countries={"AT": _AT, "CZ": _CZ}, subdivisions={"AT-1": box(9.0, 49.0, 9.95, 51.0)}),
    stated=("AT", "AT", "CZ", "", "SE"),
    subdivision="AT-1",
    jurisdictions=("AT", "AT-1", "", "SE"),
)  # fmt: skip


def _cap(latitude: float, pole: float) -> Polygon:
    """All that lies beyond a parallel, with vertices between, since no edge may span more than 180 degrees."""
    along = [-180.0, -90.0, 0.0, 90.0, 180.0]
    return Polygon([*((x, latitude) for x in along), *((x, pole) for x in reversed(along))])


_LEFT, _RIGHT = box(179.0, -18.0, 180.0, -16.0), box(-180.0, -18.0, -179.0, -16.0)
_BOTH = MultiPolygon([_LEFT, _RIGHT])

SEAM = World(
    points=((180.0, -17.0), (-180.0, -17.0), (179.999, -17.0), (-179.9985, -17.2), (179.5, -17.5), (-179.02, -17.0),
            (178.9, -17.0), (0.0, 90.0), (120.0, 89.99), (-60.0, 89.501), (10.0, -90.0), (-60.0, -89.95),
            (180.0, 89.6)),
    sizes=(0.0005, 0.02, 0.3),
    areas=(_LEFT, _RIGHT, _BOTH, _cap(89.5, 90.0), _cap(-89.9, -90.0), box(179.9, -17.1, 180.0, -16.9)),
    discs=((180.0, -17.0, 30_000.0), (-179.95, -17.0, 9_000.0), (0.0, 90.0, 20_000.0), (30.0, 89.9, 40_000.0),
           (0.0, -90.0, 8_000.0)),
    outlines=Outlines(countries={"FJ": _BOTH}, subdivisions={"FJ-C": _LEFT}),
    stated=("FJ", "", "", ""),
    subdivision="FJ-C",
    jurisdictions=("FJ", "FJ-C", ""),
)  # fmt: skip

_OVERSEAS = box(10.10, 49.0, 10.60, 50.2)


def _on_land(longitude_deg: FloatColumn, latitude_deg: FloatColumn) -> BoolColumn:
    return np.array(shapely.intersects_xy(shapely.union_all([_AT, _OVERSEAS]), longitude_deg, latitude_deg), bool)


WIDE = World(
    points=(
        (9.95, 49.95),
        (10.02, 49.95),
        (10.07, 49.95),
        (10.1003, 49.95),
        (10.3, 49.95),
        (10.65, 49.6),
        (11.5, 49.5),
    ),
    sizes=(0.0005, 0.02, 0.3),
    areas=(WEST, EAST, box(10.05, 49.5, 10.7, 50.1)),
    discs=((10.3, 49.95, 3000.0),),
    outlines=Outlines(
        countries={"FR": _AT, "GF": _OVERSEAS},
        boundary_error_m=500.0,
        stated={"FR": MultiPolygon([_AT, _OVERSEAS]), "GF": _OVERSEAS},
        on_land=_on_land,
    ),
    stated=("FR", "FR", "GF", ""),
    subdivision="FR-1",
    jurisdictions=("FR", "GF", ""),
)

TILES = World(
    points=((9.95, 49.95), (10.0, 49.95), (9.9997, 49.9503), (10.0, 50.0), (10.0, 49.9995), (10.05, 50.0),
            (10.0996, 49.97), (9.9, 50.05)),
    sizes=(0.0005, 0.005, 0.06),
    areas=(WEST, EAST, box(9.90, 50.00, 10.00, 50.10), box(10.00, 50.00, 10.10, 50.10)),
    discs=((10.0, 50.0, 4000.0),),
    outlines=PLAIN.outlines,
    stated=("", "", "AT"),
    subdivision="AT-1",
    jurisdictions=("AT", "CZ"),
)  # fmt: skip
