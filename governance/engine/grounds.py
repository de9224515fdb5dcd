"""The places of the specimens and the ground they stand on: what every version of every paper is held against."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

import numpy as np
import numpy.typing as npt

from governance.engine.answers import UNKNOWN
from governance.engine.areas import Area, Shapes, item_error_m
from governance.engine.columns import Column, MoreFindings, yes
from governance.engine.geodesy import holds
from governance.engine.tables import (
    BoolColumn,
    Finding,
    HouseRules,
    Outlines,
    PlaceItem,
    Places,
    Position,
    Rows,
)

Codes = npt.NDArray[np.object_]
"""ISO codes as text, "" where blank."""

SEA_REACH_M = 370_400.0
"""200 nautical miles, the breadth of an exclusive economic zone (UNCLOS, Art. 57)."""


class Grounds:
    """What every version is asked about: the places, the outlines and the house rules, with what they share.

    sites: the site keys of each place. usable: it has a position, and nobody made it coarser. invalid: its coordinates
    cannot be. names_site: it has a site key. All of shape (n_places,).
    """

    def __init__(self, places: Places, outlines: Outlines, house: HouseRules, more: MoreFindings) -> None:
        self.places = places
        self.outlines = outlines
        self.house = house
        self.more = more
        self.shapes = Shapes(places, house)
        self.sites = [frozenset(keys) for keys in places.sites]
        self.usable = self.shapes.located & ~places.generalized
        self.invalid = places.position == Position.INVALID
        self.names_site = np.array([bool(keys) for keys in self.sites], bool)
        self._areas: dict[tuple[str, object, float], Area] = {}

    def area_of(self, item: PlaceItem) -> Area | None:
        """The area of a place on a paper, None where it is not mapped. Each area is made once."""
        error_m = item_error_m(item, self.outlines.boundary_error_m)
        shape, disc = item.shape, item.disc
        if disc is not None:
            return self._area(("disc", disc, error_m), lambda: Area.of_disc(disc, error_m))
        if shape is not None:
            return self._area(("shape", id(shape), error_m), lambda: Area.of_shape(shape, error_m))
        table = self.outlines.countries if item.country else self.outlines.subdivisions
        code = item.country or item.subdivision
        outline = table.get(code) if code else None
        return None if outline is None else self._area((code, "", error_m), lambda: Area.of_shape(outline, error_m))

    def _area(self, key: tuple[str, object, float], make: Callable[[], Area]) -> Area:
        """An area by its key. One of a shape keeps the shape alive, so that no other can get its id."""
        if key not in self._areas:
            self._areas[key] = make()
        return self._areas[key]

    def wide_area_of(self, item: PlaceItem) -> Area | None:
        """A country in its widest reading; None where there is no other reading than ``area_of``."""
        wide = (self.outlines.stated or {}).get(item.country) if item.country else None
        if wide is None:
            return None
        error_m = item_error_m(item, self.outlines.boundary_error_m)
        return self._area(("wide", item.country, error_m), lambda: Area.of_shape(wide, error_m))

    def naming(self, site: str) -> Rows:
        """Places that name the site (folded), ascending."""
        return self._rows_by_site.get(site, np.zeros(0, np.int64))

    @cached_property
    def _rows_by_site(self) -> dict[str, Rows]:
        """Many versions ask for the same site."""
        rows: dict[str, list[int]] = {}
        for row, keys in enumerate(self.sites):
            for key in keys:
                rows.setdefault(key, []).append(row)
        return {key: np.array(found) for key, found in rows.items()}

    @cached_property
    def stated_countries(self) -> Codes:
        """The country that each place states, also by the code of a subdivision; "" where blank."""
        pairs = zip(self.places.country, self.places.subdivision, strict=True)
        return np.array([country or subdivision.partition("-")[0] for country, subdivision in pairs], object)

    @cached_property
    def subdivisions(self) -> Codes:
        """The subdivision that each place states; "" where blank."""
        return np.array(list(self.places.subdivision), object)

    def at_sea(self, rows: Rows) -> BoolColumn:
        """Centres that lie in no country's outline."""
        lon, lat = self.shapes.longitude_deg[rows], self.shapes.latitude_deg[rows]
        if self.outlines.on_land is not None:
            return ~self.outlines.on_land(lon, lat)
        land = np.zeros(len(rows), bool)
        for code in self.outlines.countries:
            area = self.area_of(PlaceItem(country=code))
            if area is not None and len(rows):
                land |= area.signed_m(self.shapes, rows) <= 0
        return ~land

    @cached_property
    def mismatch(self) -> Column:
        """Country-mismatch over all places: UNKNOWN where the stated country contradicts the coordinates."""
        column = yes(len(self.places))
        stated = self.outlines.countries if self.outlines.stated is None else self.outlines.stated
        located = np.flatnonzero(self.shapes.located & ~self.places.generalized)
        for code in sorted({c for c in self.stated_countries[located] if c}):
            outline = stated.get(code)
            if outline is not None:
                area = Area.of_shape(outline, self.outlines.boundary_error_m)
                self._contradict(column, area, located[self.stated_countries[located] == code])
        return column

    def _contradict(self, column: Column, area: Area, rows: Rows) -> None:
        """Settle the rows, all of which state one country, that lie apart from it and not at sea off its coast."""
        rows = rows[self.shapes.is_footprint[rows] | ~area.holds(self.shapes, rows)]
        rows = rows[area.relate(self.shapes, rows).apart]
        metres = area.signed_m(self.shapes, rows)
        off_coast = (metres <= SEA_REACH_M) & self.at_sea(rows)
        rows, metres = rows[~off_coast], metres[~off_coast]
        column.settle(rows, UNKNOWN, "country-mismatch", measure=metres, against=self.shapes.reach_m[rows], miss=metres)
        for row in rows.tolist():
            column.more[row] = self.more.id_of(tuple(Finding(code) for code in self._slips(area, row)))

    def _slips(self, area: Area, row: int) -> list[str]:
        """The slips of the pen that would put the point into the stated country."""
        if area.region is None:
            return []
        lon, lat = float(self.shapes.longitude_deg[row]), float(self.shapes.latitude_deg[row])
        slips = []
        if abs(lon) <= 90 and _in(area, lat, lon):
            slips.append("swapped")
        if any(_in(area, *point) for point in ((-lon, lat), (lon, -lat), (-lon, -lat))):
            slips.append("sign")
        return slips


def _in(area: Area, longitude_deg: float, latitude_deg: float) -> bool:
    """One point in the region of an area that is no circle."""
    return bool(holds(area.region, np.array([longitude_deg]), np.array([latitude_deg]))[0])
