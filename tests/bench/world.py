"""The generated world of the bench: columns that the engine and its peers are both given.

Everything follows from one seed. The names, places and papers are invented; shapes and shares are chosen so that
about a third of the specimens are covered and every kind of miss by date, place and taxon occurs.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

SEED = 20231107
FIRST_DAY, LAST_DAY = date(2005, 1, 1).toordinal(), date(2024, 12, 31).toordinal()
WEST, EAST, SOUTH, NORTH = -58.0, -48.0, -14.0, -5.0
"""The region, in degrees on WGS84: all of it inland in one country, so that no border has a say."""

COUNTRY = "BR"

PLANE = "+proj=laea +lat_0=-9.5 +lon_0=-53 +datum=WGS84 +units=m"
"""An equal-area plane for the region, as a practitioner would choose; lengths in it are within 0.4 %."""

LONGEST_EDGE_DEG = 0.02
"""An edge is straight in degrees, so the peers put vertices in between before they project it."""

NO_END = -1
"""Stands in ``paper_to_day`` for a paper without an end."""

SINGLE_OR_RUN, VAGUE, MISSING = 0, 1, 2
ORDER, FAMILY, GENUS, SPECIES = 0, 1, 2, 3
LEVELS = ("order", "family", "genus", "species")

Ints = npt.NDArray[Any]
Floats = npt.NDArray[np.float64]
Seams = list[tuple[int, bool]]
"""Papers whose successor in the file goes on where they end: (row, True in time, False in area)."""


@dataclass(frozen=True)
class Size:
    """How many of each. taxa counts every name of the tree: orders, families, genera and species."""

    specimens: int = 1_000_000
    events: int = 2_000
    papers: int = 300
    taxa: int = 5_000
    uniform_taxa: bool = False
    """True: every specimen draws its taxon alone, so nearly every (event, taxon) pair is distinct. False: an event
    yields some dozens of taxa, few of them common, as a trap or a day's work does."""


@dataclass(frozen=True)
class World:
    """Columns of the four tables; ``specimen_*`` is one entry a specimen, and so on.

    Days are proleptic ordinals, degrees are WGS84, radii are metres (NaN where not stated). ``taxon_path`` has shape
    (taxa, 4): the row of the ancestor at each of ``LEVELS``, -1 below the taxon's own level.
    """

    specimen_event: Ints
    specimen_taxon: Ints
    specimen_accession: Ints
    event_earliest: Ints
    event_latest: Ints
    event_reading: Ints
    event_longitude_deg: Floats
    event_latitude_deg: Floats
    event_radius_m: Floats
    event_precision_radius_m: Floats
    event_datum_known: npt.NDArray[np.bool_]
    taxon_name: list[str]
    taxon_level: Ints
    taxon_path: Ints
    paper_shape: list[shapely.Polygon | shapely.MultiPolygon]
    paper_from_day: Ints
    paper_to_day: Ints
    paper_include: list[list[int]]
    paper_exclude: list[list[int]]


def make_world(size: Size, seed: int = SEED) -> World:
    """All columns for ``size``; the same seed and size give the same world."""
    rng = np.random.default_rng(seed)
    taxa = _taxa(size.taxa)
    events = _events(rng, size.events)
    papers, seams = _papers(rng, size.papers, taxa)
    _visit_seams(rng, events, papers, seams)
    specimens = _specimens(rng, size, taxa["taxon_level"])
    return World(**taxa, **events, **papers, **specimens)


def _taxa(count: int) -> dict[str, Any]:
    """A tree of ``count`` names, of which about four in five are species."""
    orders, families, genera = max(3, count // 200), max(6, count // 33), max(12, count // 6)
    species = count - orders - families - genera
    level = np.repeat([ORDER, FAMILY, GENUS, SPECIES], [orders, families, genera, species])
    start = np.cumsum([0, orders, families, genera])
    within = np.arange(count) - start[level]
    path = np.full((count, 4), -1, dtype=np.int32)
    path[np.arange(count), level] = np.arange(count)
    for lower, above in ((FAMILY, orders), (GENUS, families), (SPECIES, genera)):
        rows = level == lower
        parent = start[lower - 1] + within[rows] % above
        path[rows, :lower] = path[parent, :lower]
    return {"taxon_name": _names(level, within, path), "taxon_level": level.astype(np.int8), "taxon_path": path}


def _stem(number: int) -> str:
    """A pronounceable, unique, invented stem for a number below 14 ** 4."""
    syllables = ("ba", "do", "fi", "ga", "hu", "ke", "lo", "mi", "na", "po", "ra", "su", "ti", "ve")
    number = (number * 5501 + 12345) % 14**4  # 5501 and 14 share no factor, so no two numbers meet
    parts = []
    for _ in range(4):
        number, digit = divmod(number, len(syllables))
        parts.append(syllables[digit])
    return "".join(parts)


def _names(level: Ints, within: Ints, path: Ints) -> list[str]:
    names: list[str] = []
    for rank, number, ancestors in zip(level, within, path, strict=True):
        stem = _stem(int(number)).capitalize()
        if rank == ORDER:
            names.append(f"{stem}formes")
        elif rank == FAMILY:
            names.append(f"{stem}idae")
        elif rank == GENUS:
            names.append(f"{stem}lla")
        else:
            names.append(f"{names[ancestors[GENUS]]} {stem.lower()}nsis")
    return names


def _events(rng: np.random.Generator, count: int) -> dict[str, Any]:
    """Dates: seven in ten a day, the rest runs, months, and one in a hundred none. Places: one in fifty without."""
    kind = rng.choice(4, size=count, p=[0.70, 0.15, 0.14, 0.01])
    day = rng.integers(FIRST_DAY, LAST_DAY + 1, size=count)
    length = np.where(kind == 1, rng.integers(2, 31, size=count), 1)
    month = (day.astype("int64") - date(1970, 1, 1).toordinal()).astype("datetime64[D]").astype("datetime64[M]")
    epoch = date(1970, 1, 1).toordinal()
    month_first = month.astype("datetime64[D]").astype("int64") + epoch
    month_last = (month + 1).astype("datetime64[D]").astype("int64") + epoch - 1
    longitude, latitude = rng.uniform(WEST, EAST, count), rng.uniform(SOUTH, NORTH, count)
    radius = np.round(10 ** rng.uniform(1, 3, count))
    radius[rng.random(count) < 0.04] = np.nan
    coarse = np.isnan(radius) & (rng.random(count) < 0.5)
    nowhere = rng.random(count) < 0.02
    return {
        "event_earliest": np.where(kind == 2, month_first, day).astype(np.int32),
        "event_latest": np.where(kind == 2, month_last, day + length - 1).astype(np.int32),
        "event_reading": np.array([SINGLE_OR_RUN, SINGLE_OR_RUN, VAGUE, MISSING], dtype=np.uint8)[kind],
        "event_longitude_deg": _written(longitude, coarse, nowhere),
        "event_latitude_deg": _written(latitude, coarse, nowhere),
        "event_radius_m": np.where(nowhere, np.nan, radius),
        "event_precision_radius_m": np.where(nowhere, 0.0, np.where(coarse, 1260.0, 1.3)),
        "event_datum_known": rng.random(count) > 0.03,
    }


def _written(degrees: Floats, coarse: Ints, nowhere: Ints) -> Floats:
    """Degrees as written: two decimals where coarse, else five; NaN where nothing is written."""
    written = np.where(coarse, np.round(degrees, 2), np.round(degrees, 5))
    return np.where(nowhere, np.nan, written)


def _star(rng: np.random.Generator, vertices: int, spread: float) -> shapely.Polygon:
    """A valid polygon: every vertex is seen from the centre, at strictly growing angles. spread scales its size."""
    angle = np.sort(rng.uniform(0, 1, vertices) * 0.8 + np.arange(vertices)) * (2 * np.pi / vertices)
    reach = spread * 10 ** rng.uniform(-0.40, 0.17)
    waves = sum(rng.uniform(0, 0.25) * np.sin(k * angle + rng.uniform(0, 6.3)) for k in (2, 3, 5))
    reach_deg = reach * (1 + waves) * (1 + rng.uniform(-0.05, 0.05, vertices))
    latitude = rng.uniform(SOUTH, NORTH)
    ring = np.column_stack([
        rng.uniform(WEST, EAST) + reach_deg * np.cos(angle) / np.cos(np.radians(latitude)),
        latitude + reach_deg * np.sin(angle),
    ])  # fmt: skip
    return shapely.Polygon(np.round(ring, 6))


def _papers(rng: np.random.Generator, count: int, taxa: dict[str, Any]) -> tuple[dict[str, Any], Seams]:
    # One draw in each of ``count`` equal slices of 50 to 5,000 (logarithmic): 300 papers have about 325,000 vertices.
    vertices = np.round(50 * 100 ** ((rng.permutation(count) + rng.random(count)) / count)).astype(int)
    from_day = rng.integers(FIRST_DAY - 700, LAST_DAY - 300, count)
    to_day = from_day + rng.integers(300, 5000, count)
    to_day[rng.random(count) < 0.08] = NO_END
    lists = [_listed(rng, taxa) for _ in range(count)]
    # Few papers are drawn larger, so that a small world has its covered specimens too.
    spread = min(3.0, (300 / count) ** 0.5)
    columns = {
        "paper_shape": [_star(rng, n, spread) for n in vertices],
        "paper_from_day": from_day.astype(np.int32), "paper_to_day": to_day.astype(np.int32),
        "paper_include": [include for include, _ in lists], "paper_exclude": [exclude for _, exclude in lists],
    }  # fmt: skip
    return columns, _renew(columns, rng.permutation(count // 2)[: max(1, count // 10)])


def _renew(columns: dict[str, Any], pairs: Ints) -> Seams:
    """Makes the second paper of each pair the neighbour of the first: in turn its renewal, and its other half.

    A renewal starts the day after the first ends; halves meet along a meridian. So some specimens are covered only
    by two papers together (a month over the renewal, a circle over the meridian). Returns (first paper, is a renewal).
    """
    seams = []
    shapes, start, end = columns["paper_shape"], columns["paper_from_day"], columns["paper_to_day"]
    for turn, pair in enumerate(pairs):
        first, second = 2 * int(pair), 2 * int(pair) + 1
        for lists in ("paper_include", "paper_exclude"):
            columns[lists][second] = columns[lists][first]
        is_renewal = turn % 2 == 0 and end[first] != NO_END
        seams.append((first, bool(is_renewal)))
        if is_renewal:
            shapes[second] = shapes[first]
            start[second], end[second] = end[first] + 1, end[first] + 1000
        else:
            start[second], end[second] = start[first], end[first]
            west, south, east, north = shapes[first].bounds
            middle = round((west + east) / 2, 6)
            whole = shapes[first]
            shapes[first] = whole.intersection(shapely.box(west, south, middle, north))
            shapes[second] = whole.intersection(shapely.box(middle, south, east, north))
    return seams


def _visit_seams(rng: np.random.Generator, events: dict[str, Any], papers: dict[str, Any], seams: Seams) -> None:
    """Moves the first events, one in fifty, onto seams and loose ends: chance alone would put hardly any there."""
    count = len(events["event_earliest"])
    for event in range(max(8, count // 50)):
        first, is_renewal = seams[event // 4 % len(seams)]
        kind = event % 4
        if kind >= 2 and papers["paper_to_day"][first + 1] == NO_END:
            continue
        paper = first + 1 if kind >= 2 else first
        shape, end = papers["paper_shape"][paper], int(papers["paper_to_day"][paper])
        spot = shape.representative_point()
        days = (int(papers["paper_from_day"][paper]) + 100,) * 2
        if kind >= 2 or is_renewal:
            # A run over the end: another paper goes on (kind 0 and 1, a renewal), or none does.
            run = int(rng.integers(2, 12))
            days = (end - run // 2, end + run - run // 2)
        if kind == 1:
            spot = shape.boundary.interpolate(rng.random(), normalized=True)
        elif kind == 0 and not is_renewal:
            spot = shapely.Point(shape.bounds[2] + rng.uniform(-0.001, 0.001), spot.y)
        events["event_reading"][event] = VAGUE if kind == 3 else SINGLE_OR_RUN
        events["event_earliest"][event], events["event_latest"][event] = month_of(end) if kind == 3 else days
        events["event_longitude_deg"][event], events["event_latitude_deg"][event] = round(spot.x, 6), round(spot.y, 6)


def month_of(day: int) -> tuple[int, int]:
    """First and last day of the month of a day."""
    first = date.fromordinal(day).replace(day=1)
    following = (first + timedelta(days=31)).replace(day=1)
    return first.toordinal(), following.toordinal() - 1


def _listed(rng: np.random.Generator, taxa: dict[str, Any]) -> tuple[list[int], list[int]]:
    """1 to 40 included names; three papers in ten exclude one to three names below them."""
    level, path = taxa["taxon_level"], taxa["taxon_path"]
    weights = np.array([0.40, 0.25, 0.20, 0.15])
    chosen = rng.choice(4, size=round(40 ** rng.uniform(0, 1)), p=weights)
    include = {int(rng.choice(np.flatnonzero(level == rank))) for rank in chosen}
    exclude: set[int] = set()
    if rng.random() < 0.3:
        own = np.isin(np.arange(len(level)), list(include))
        below = np.flatnonzero(np.isin(path, list(include)).any(axis=1) & ~own)
        if len(below):
            share = np.array([0.0, 8.0, 3.0, 1.0])[level[below]]
            exclude = {int(row) for row in rng.choice(below, size=int(rng.integers(1, 4)), p=share / share.sum())}
    return sorted(include), sorted(exclude)


def _specimens(rng: np.random.Generator, size: Size, level: Ints) -> dict[str, Any]:
    count = size.specimens
    shares = rng.lognormal(0, 0.8, size.events)
    event = rng.choice(size.events, size=count, p=shares / shares.sum()).astype(np.int32)
    weight = np.array([0.2, 0.3, 0.4, 1.0])[level]
    weight = weight / weight.sum()
    if size.uniform_taxa:
        taxon = rng.choice(size.taxa, size=count, p=weight).astype(np.int32)
    else:
        pool = np.clip(rng.lognormal(4.2, 0.6, size.events), 4, 400)
        pools = rng.choice(size.taxa, size=(size.events, 400), p=weight).astype(np.int32)
        nth = (pool[event] ** rng.random(count)).astype(np.int32) - 1
        taxon = pools[event, nth]
    # Every name is worn by a specimen, so that every listed name is known to the file and none is unplaced.
    taxon[rng.permutation(count)[: size.taxa]] = np.arange(min(size.taxa, count), dtype=np.int32)
    return {
        "specimen_event": event, "specimen_taxon": taxon,
        "specimen_accession": rng.integers(0, 40, count).astype(np.int32),
    }  # fmt: skip
