"""Generated specimens: dates, places, names and counts drawn from short lists.

Equal days, equal sites and the same few names make the rare rules (two versions touched, a cap just reached) common.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from random import Random
from typing import Any

import numpy as np
import numpy.typing as npt

from governance.engine.tables import (
    OPEN_END,
    OPEN_START,
    RANKS,
    UNBOUNDED,
    DateReading,
    Dates,
    Material,
    Places,
    Position,
    Specimens,
    Taxa,
)
from tests.generative.worlds import World

BASE = date(2023, 5, 1).toordinal()
SITES = ("meadow", "bog", "ridge")
EVENTS, ACCESSIONS, CATALOG_NUMBERS = ("E1", "E2"), ("A1", "A2"), ("C1", "C2", "C3")
METHODS = (("hand net",), ("light trap",), ("hand net", "light trap"), ())
PEOPLE = (("A. Person",), ("Anna Person",), ("Person, A.", "B. Other"), ("C. Else",), (), ("B. Other", "A Person"),
          ("AB Other", "Anna Person"))  # fmt: skip
SEXES = (("male",), ("female",), ("male", "female"), ())
STAGES = (("adult",), ("larva",), ("adult", "larva"), ())

_LINEAGES: tuple[dict[str, str], ...] = (
    dict(kingdom="animalia", order="odonata", family="libellulidae", genus="sympetrum", species="sympetrum striolatum"),
    dict(kingdom="animalia", order="odonata", family="libellulidae", genus="sympetrum", species="sympetrum danae"),
    dict(kingdom="animalia", order="odonata", family="libellulidae", genus="sympetrum"),
    dict(kingdom="animalia", order="odonata", family="libellulidae"),
    dict(kingdom="animalia", order="odonata"),
    dict(genus="sympetrum", species="sympetrum danae"),
    dict(kingdom="animalia", order="odonata", family="cordulegastridae", genus="cordulegaster"),
    dict(kingdom="animalia", order="odonata", genus="libellula"),
    dict(kingdom="animalia", order="diptera", family="syrphidae"),
    dict(kingdom="animalia", genus="oenanthe"),
    dict(kingdom="plantae", family="apiaceae", genus="oenanthe"),
    dict(genus="oenanthe"),
    dict(),
)


@dataclass(frozen=True)
class Style:
    """How clear the records are: the share of dates, places and names that are doubtful, and how many specimens.

    around: days before and after BASE on which dates begin.
    """

    doubt: float = 1.0
    least: int = 1
    most: int = 12
    around: int = 12


def material(random: Random, world: World, style: Style) -> Material:
    count = random.randint(style.least, style.most)
    kinds = max(6, count // 3)
    tables = _dates(random, kinds, style), _places(random, kinds, world, style), _taxa(random, kinds, style)

    def pick(size: int, *, blank: bool = False) -> npt.NDArray[np.int32]:
        return np.array([random.randint(-1 if blank else 0, size - 1) for _ in range(count)], np.int32)

    low = np.array([random.choice((0, 1, 1, 2, 3, 7)) for _ in range(count)], np.int64)
    wide = (0, 0, 0, 2, int(UNBOUNDED)) if style.doubt > 0.5 else (0, 0, 0, 0, 0, 0, 1)
    high = low + np.array([random.choice(wide) for _ in range(count)], np.int64)
    specimens = Specimens(
        date=pick(kinds), exported=pick(kinds), imported=pick(kinds), transferred=pick(kinds), place=pick(kinds),
        taxon=pick(kinds), methods=pick(len(METHODS)), people=pick(len(PEOPLE)), sexes=pick(len(SEXES)),
        life_stages=pick(len(STAGES)), event=pick(2, blank=True), accession=pick(2, blank=True),
        catalog=pick(3, blank=True), count_low=low, count_high=high,
        count_assumed=np.array([random.random() < 0.3 for _ in range(count)], bool),
    )  # fmt: skip
    return Material(specimens, *tables, METHODS, PEOPLE, SEXES, STAGES, EVENTS, ACCESSIONS, CATALOG_NUMBERS)


def a_day(random: Random, around: int = 12) -> int:
    return BASE + random.randint(-around, around)


def _dates(random: Random, count: int, style: Style) -> Dates:
    rows = [_date(random, style) for _ in range(count)]
    return Dates(
        earliest=np.array([r[0] for r in rows], np.int32),
        latest=np.array([r[1] for r in rows], np.int32),
        reading=np.array([r[2] for r in rows], np.uint8),
        qualified=np.array([r[3] for r in rows], bool),
        text=[str(r) for r in rows],
        hint=[""] * count,
    )


def _date(random: Random, style: Style) -> tuple[int, int, DateReading, bool]:
    kind = random.random() if random.random() < style.doubt else random.random() * 0.6
    first = a_day(random, style.around)
    if kind < 0.35:
        return first, first, DateReading.RUN, False
    if kind < 0.6:
        return first, first + random.randint(1, 12), DateReading.RUN, False
    if kind < 0.8:
        return first, first + random.choice((0, 6, 30, 365)), DateReading.VAGUE, random.random() < 0.3
    if kind < 0.9:
        open_end = random.random() < 0.5
        first, last = (first, int(OPEN_END)) if open_end else (int(OPEN_START), first)
        return first, last, DateReading.VAGUE, False
    return 0, 0, random.choice((DateReading.MISSING, DateReading.UNREADABLE, DateReading.CONFLICT)), False


def _places(random: Random, count: int, world: World, style: Style) -> Places:
    rows = [_place(random, world, style) for _ in range(count)]
    return Places(
        longitude_deg=np.array([r["lon"] for r in rows], np.float64),
        latitude_deg=np.array([r["lat"] for r in rows], np.float64),
        position=np.array([r["position"] for r in rows], np.uint8),
        radius_m=np.array([r["radius"] for r in rows], np.float64),
        precision_radius_m=np.array([r["precision"] for r in rows], np.float64),
        datum_known=np.array([r["datum"] for r in rows], bool),
        generalized=np.array([r["generalized"] for r in rows], bool),
        country=[r["country"] for r in rows],
        subdivision=[r["subdivision"] for r in rows],
        sites=[r["sites"] for r in rows],
        footprint=[r["footprint"] for r in rows],
        text=[""] * count,
    )


def _place(random: Random, world: World, style: Style) -> dict[str, Any]:
    is_doubtful = random.random() < style.doubt
    country = random.choice(world.stated)
    subdivision_fits = country in ("", world.subdivision[:2])
    return _position(random, world, is_doubtful) | dict(
        radius=random.choice((np.nan, 30.0, 100.0, 900.0, 20_000.0) if is_doubtful else (30.0, 30.0, 100.0, np.nan)),
        precision=random.choice((0.0, 15.0, 1500.0)),
        datum=random.random() < 0.8,
        generalized=random.random() < 0.05 * style.doubt,
        country=country,
        subdivision=world.subdivision if subdivision_fits and random.random() < 0.3 else "",
        sites=tuple(random.sample(SITES, random.choice((0, 1, 1, 2)))),
    )


def _position(random: Random, world: World, is_doubtful: bool) -> dict[str, Any]:
    kind = random.random() if is_doubtful else random.random() * 0.8
    lon, lat = random.choice(world.points)
    place: dict[str, Any] = dict(lon=np.nan, lat=np.nan, position=Position.NONE, footprint=None)
    if kind < 0.7:
        place.update(lon=lon, lat=lat, position=Position.POINT)
    elif kind < 0.8:
        footprint = world.footprint((lon, lat), random.choice(world.sizes))
        place.update(position=Position.FOOTPRINT, footprint=footprint)
        if random.random() < 0.3:
            place.update(lon=lon, lat=lat)
    elif kind < 0.85:
        place.update(position=Position.INVALID)
    return place


def _taxa(random: Random, count: int, style: Style) -> Taxa:
    clear = _LINEAGES[:3]
    rows = [random.choice(_LINEAGES if random.random() < style.doubt else clear) for _ in range(count)]
    return Taxa(
        lineage=[tuple(row.get(rank, "") for rank in RANKS) for row in rows],
        unranked=[("anisoptera",) if row.get("order") == "odonata" and random.random() < 0.3 else () for row in rows],
        qualified=np.array([random.random() < 0.15 * style.doubt for _ in rows], bool),
        text=[next(reversed(row.values()), "") for row in rows],
    )
