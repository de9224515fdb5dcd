"""Sampling events whose coordinates contradict the country that their record states, and those off its coast.

A point in the outline of its country is fine and costs next to nothing; what is left is measured by the engine itself,
once for each distinct statement of a place, and kept by its content.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final, cast

import numpy as np
from django.core.cache import cache

from accessions.material.models import SamplingEvent
from governance.audit.queries.quality import kept_while_unchanged
from governance.engine.answers import UNKNOWN
from governance.engine.areas import Area
from governance.engine.columns import MoreFindings
from governance.engine.geodesy import holds
from governance.engine.grounds import Grounds
from governance.engine.tables import HouseRules, Rows
from governance.jurisdictions import outlines as natural_earth
from governance.verdicts.check import outlines
from governance.verdicts.feed.rows import select, select_by_keys
from governance.verdicts.feed.rules import house
from governance.verdicts.material import PLACE, places_of

MOST_MEASURED: Final = 5_000
"""Distinct statements that are measured; with more of them, the first ones show what is wrong."""

_KEPT_S: Final = 7 * 24 * 3600

_LOCATED: Final = """
SELECT id, longitude_deg, latitude_deg, country, CASE WHEN footprint_wkt = '' THEN 0 ELSE 1 END
FROM material_samplingevent WHERE longitude_deg IS NOT NULL AND country <> ''
"""
_COLUMNS: Final = ", ".join(f'"{SamplingEvent.COLUMN_OF_TERM[term]}"' for term in PLACE)
_STATED: Final = f"SELECT id, {_COLUMNS} FROM material_samplingevent WHERE id IN"


@dataclass(frozen=True)
class OddPlace:
    """An event off the country that it states. at_sea: off its coast, within reach of it; else elsewhere. metres: to
    the outline. reach_m: how well the position is known. slips: ``swapped``, ``sign`` if that would mend it."""

    event: int
    at_sea: bool
    metres: float
    reach_m: float
    slips: tuple[str, ...]


@dataclass(frozen=True)
class OddPlaces:
    """All of them, by key of the event. unmeasured: events that were left aside, since there were so many."""

    odd: Sequence[OddPlace]
    unmeasured: int


def odd_places() -> OddPlaces:
    """One walk over the located events; one query for what the suspicious ones state."""
    suspicious = kept_while_unchanged("outside", (SamplingEvent,), lambda: sorted(_outside(select(_LOCATED))))
    of_statement: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for event, *statement in select_by_keys(_STATED, suspicious) if suspicious else ():
        of_statement[tuple(statement)].append(event)
    stated = sorted(of_statement)[:MOST_MEASURED]
    odd = [
        OddPlace(event, *told)
        for statement, told in zip(stated, _kept(stated), strict=True)
        if told is not None
        for event in of_statement[statement]
    ]  # fmt: skip
    unmeasured = sum(map(len, of_statement.values())) - sum(len(of_statement[one]) for one in stated)
    return OddPlaces(sorted(odd, key=lambda one: one.event), unmeasured)


def _outside(rows: Iterable[tuple[Any, ...]]) -> set[int]:
    """Events whose point is not in the outline of the stated country, or that state a footprint."""
    found: set[int] = set()
    of_country: dict[str, list[tuple[int, float, float]]] = defaultdict(list)
    for event, longitude, latitude, country, has_footprint in rows:
        if has_footprint:
            found.add(event)
        else:
            of_country[country].append((event, longitude, latitude))
    stated = natural_earth.countries_for_check()
    for country, points in of_country.items():
        outline = stated.get(country)
        if outline is not None:
            keys = np.array([event for event, _x, _y in points], np.int64)
            degrees = np.array([point[1:] for point in points], np.float64)
            found.update(keys[~holds(outline, degrees[:, 0], degrees[:, 1])].tolist())
    return found


_Told = tuple[bool, float, float, tuple[str, ...]] | None


def _kept(stated: Sequence[tuple[str, ...]]) -> list[_Told]:
    """What was measured of these statements; they and the house rules decide it, and nothing else."""
    if not stated:
        return []
    rules = house().rules
    key = f"quality-places:{hashlib.sha256(repr((rules, stated)).encode()).hexdigest()}"
    return cast("list[_Told]", cache.get_or_set(key, lambda: _measured(stated, rules), _KEPT_S))


def _measured(stated: Sequence[tuple[str, ...]], rules: HouseRules) -> list[_Told]:
    more = MoreFindings()
    grounds = Grounds(places_of(stated), outlines(), rules, more)
    mismatch, told = grounds.mismatch, list[_Told]([None] * len(stated))
    for row in np.flatnonzero(mismatch.answer == UNKNOWN).tolist():
        slips = tuple(one.code for one in more[int(mismatch.more[row])])
        told[row] = (False, float(mismatch.measure[row]), float(grounds.shapes.reach_m[row]), slips)
    for row, metres in _off_coast(grounds, np.flatnonzero(mismatch.answer != UNKNOWN)):
        told[row] = (True, metres, float(grounds.shapes.reach_m[row]), ())
    return told


def _off_coast(grounds: Grounds, rows: Rows) -> list[tuple[int, float]]:
    """Places at sea, farther from the coast of the country that they state than they are known."""
    located = grounds.shapes.located & ~grounds.places.generalized
    rows = rows[located[rows]]
    rows = rows[grounds.at_sea(rows)]
    found: list[tuple[int, float]] = []
    stated = grounds.outlines.stated or grounds.outlines.countries
    for country in sorted({code for code in grounds.stated_countries[rows] if code}):
        outline = stated.get(country)
        if outline is not None:
            area = Area.of_shape(outline, grounds.outlines.boundary_error_m)
            own = rows[grounds.stated_countries[rows] == country]
            own = own[area.relate(grounds.shapes, own).apart]
            found += zip(own.tolist(), area.signed_m(grounds.shapes, own).tolist(), strict=True)
    return found
