"""Outlines of countries and of their subdivisions: where a code lies, to within ``BOUNDARY_ERROR_M``.

Two readings of a country code, since a code may be meant narrowly or widely and neither may be guessed:
``countries`` holds the land that surely has the code (a paper that lists FR does not surely hold French Guiana), and
``countries_for_check`` all the land that the code may be written for (FR on a label from French Guiana is no
contradiction). Land that several states claim, or that no code holds alone, is in the second reading of every
claimant and in the first of none. Shapes are longitude and latitude in degrees on WGS84, cut at the antimeridian.

Source: Natural Earth 1:10m admin-1, see ``docs/decisions/0002-outlines.md``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from governance.jurisdictions.loader import claimed_land, territories_inside
from governance.jurisdictions.outline_file import OutlineFile

BOUNDARY_ERROR_M = 5000.0
"""Error of every outline, in metres: VERDICTS, section 4 ("a country or province outline 5 km")."""

_DATA = Path(__file__).parent / "data"


class _Part(Mapping[str, BaseGeometry]):
    """The outlines of some of the codes of a file."""

    def __init__(self, source: OutlineFile, codes: frozenset[str]) -> None:
        self._source = source
        self._codes = codes

    def __getitem__(self, code: str) -> BaseGeometry:
        if code not in self._codes:
            raise KeyError(code)
        return self._source[code]

    def __contains__(self, code: object) -> bool:
        return code in self._codes

    def __iter__(self) -> Iterator[str]:
        return (code for code in self._source if code in self._codes)

    def __len__(self) -> int:
        return len(self._codes)


class _Widest(Mapping[str, BaseGeometry]):
    """Own land, the territories under the state and the land it claims; joined when first asked for."""

    def __init__(self, source: OutlineFile, own: Mapping[str, BaseGeometry]) -> None:
        self._source = source
        self._own = own
        self._joined: dict[str, BaseGeometry] = {}

    def __getitem__(self, code: str) -> BaseGeometry:
        if code not in self._joined:
            added = [self._source[key] for key in self._added(code)]
            own = self._own[code]
            self._joined[code] = shapely.union_all([own, *added]) if added else own
        return self._joined[code]

    def _added(self, code: str) -> list[str]:
        claimed = [key for key, claimants in claimed_land().items() if code in claimants]
        return [key for key in [*territories_inside(code), *claimed] if key in self._source]

    def __contains__(self, code: object) -> bool:
        return code in self._own

    def __iter__(self) -> Iterator[str]:
        return iter(self._own)

    def __len__(self) -> int:
        return len(self._own)


@cache
def _country_file() -> OutlineFile:
    return OutlineFile(_DATA / "countries.outlines")


@cache
def countries() -> Mapping[str, BaseGeometry]:
    """Land that surely has a code, by ISO 3166-1 alpha-2 code: for the places of papers.

    Without territories that have a code of their own (``territories_inside``) and without ``unassigned`` land.
    Each outline is read when it is first asked for; a code that is not a key has no outline.
    """
    source = _country_file()
    return _Part(source, frozenset(source) - frozenset(claimed_land()))


@cache
def countries_for_check() -> Mapping[str, BaseGeometry]:
    """All land that a code may be written for, by ISO 3166-1 alpha-2 code: to contradict a stated country.

    Source: ISO 3166 gives one territory two codes (GF and FR-973): both are accepted. FR holds GF, GF holds GF alone.
    """
    return _Widest(_country_file(), countries())


@cache
def unassigned() -> Mapping[str, BaseGeometry]:
    """Land that no code holds alone, by a key of ours such as ``northern-cyprus``; claimants: ``claimed_land``."""
    source = _country_file()
    return _Part(source, frozenset(source) & frozenset(claimed_land()))


@cache
def subdivisions() -> Mapping[str, BaseGeometry]:
    """Outlines by ISO 3166-2 code, read when first asked for; many codes have none (``0002-outlines.md``)."""
    return OutlineFile(_DATA / "subdivisions.outlines")


def countries_at(longitude_deg: npt.ArrayLike, latitude_deg: npt.ArrayLike) -> list[tuple[str, ...]]:
    """The ISO 3166-1 codes in whose outline each point lies; () at sea, and where a coordinate is missing.

    Args:
        longitude_deg: shape (n,), float64 degrees on WGS84, NaN where missing.
        latitude_deg: shape (n,), as above.

    Returns:
        n tuples, sorted: the code whose own land it is; on unassigned land all claimants; on a shared edge both.
    """
    longitudes = np.atleast_1d(np.asarray(longitude_deg, dtype=np.float64))
    latitudes = np.atleast_1d(np.asarray(latitude_deg, dtype=np.float64))
    found: list[set[str]] = [set() for _ in longitudes]
    tree, owners = _tree()
    usable = np.flatnonzero(np.isfinite(longitudes) & np.isfinite(latitudes))
    points = shapely.points(longitudes[usable], latitudes[usable])
    point_of, part_of = tree.query(points)
    for part in np.unique(part_of):
        rows = usable[point_of[part_of == part]]
        polygon = tree.geometries[part]
        shapely.prepare(polygon)
        for row in rows[shapely.intersects_xy(polygon, longitudes[rows], latitudes[rows])]:
            found[row].update(owners[part])
    return [tuple(sorted(codes)) for codes in found]


@cache
def _tree() -> tuple[shapely.STRtree, list[tuple[str, ...]]]:
    """A tree over the boxes of all polygons of all countries, and the codes of each polygon."""
    source = _country_file()
    claimants = claimed_land()
    codes = list(source)
    parts, owner = shapely.get_parts([source[code] for code in codes], return_index=True)
    return shapely.STRtree(parts), [claimants.get(codes[i], (codes[i],)) for i in owner]


def on_land(longitude_deg: npt.NDArray[np.float64], latitude_deg: npt.NDArray[np.float64]) -> npt.NDArray[np.bool_]:
    """Whether each point lies in any country's outline, shape (n,)."""
    return np.array([bool(codes) for codes in countries_at(longitude_deg, latitude_deg)], bool)
