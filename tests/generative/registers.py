"""Whole small registers, generated: dates, places, names and papers that meet at their edges more often than by chance.

The values are drawn from short lists on purpose: equal days, equal sites and the same few names make the rare rules
(two versions touched, an exclusion inside an inclusion, a cap just reached) common.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from random import Random

import numpy as np
import shapely

from governance.engine.tables import (
    OPEN_END,
    OPEN_START,
    RANKS,
    UNBOUNDED,
    Assistants,
    Cap,
    Covers,
    DateReading,
    Dates,
    HouseRules,
    Layer,
    ListedTaxon,
    Material,
    Outlines,
    Paper,
    PlaceItem,
    Places,
    Position,
    Requirements,
    Rule,
    Specimens,
    Taxa,
    Version,
    Words,
)

BASE = date(2023, 5, 1).toordinal()
SITES = ("meadow", "bog", "ridge")
WEST, EAST = shapely.box(9.90, 49.90, 10.00, 50.00), shapely.box(10.00, 49.90, 10.10, 50.00)
POND = shapely.box(9.94, 49.94, 9.96, 49.96)
COUNTRIES = {"AT": shapely.box(9.0, 49.0, 10.05, 51.0), "CZ": shapely.box(10.05, 49.0, 12.0, 51.0)}
SUBDIVISIONS = {"AT-1": shapely.box(9.0, 49.0, 9.95, 51.0)}
OUTLINES = Outlines(countries=COUNTRIES, subdivisions=SUBDIVISIONS)

_LINEAGES = (
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
_LISTED = ("odonata", "libellulidae", "sympetrum", "sympetrum striolatum", "sympetrum vulgatum", "cordulegastridae",
           "aeshnidae", "hymenoptera", "oenanthe", "diptera", "anisoptera")  # fmt: skip
_METHODS = (("hand net",), ("light trap",), ("hand net", "light trap"), ())
_PEOPLE = (("A. Person",), ("Anna Person",), ("Person, A.", "B. Other"), ("C. Else",), (), ("B. Other", "A Person"))
_SEXES = (("male",), ("female",), ("male", "female"), ())
_STAGES = (("adult",), ("larva",), ())


def register(random: Random) -> tuple[Material, list[Paper], Requirements, HouseRules]:
    """One register: up to 12 specimens, up to 5 papers, one to three layers."""
    papers = [_paper(random, number) for number in range(random.randint(0, 5))]
    layers = tuple(sorted(random.sample([Layer.LAND, Layer.COLLECTING, Layer.EXPORT, Layer.CITES], random.randint(1, 2))))
    papers = [_serving(paper, layers, random) for paper in papers]
    rules = None if random.random() < 0.7 else _rules(random, layers)
    house = HouseRules(random.choice((1000.0, 1000.0, 50.0, None)), random.choice((250.0, 0.0)))
    return _material(random), papers, Requirements(layers, rules), house


def _serving(paper: Paper, layers: Sequence[Layer], random: Random) -> Paper:
    own = frozenset(random.sample(list(layers), random.randint(1, len(layers))))
    return Paper(**{**paper.__dict__, "layers": own})


def _rules(random: Random, layers: Sequence[Layer]) -> tuple[Rule, ...]:
    days = (None, BASE - 5, BASE, BASE + 6)
    return tuple(
        Rule(random.choice(layers), random.random() < 0.5, "a source", random.choice(("", "AT", "CZ")),
             random.choice(days), None)  # fmt: skip
        for _ in range(random.randint(0, 4))
    )


def _day(random: Random) -> int:
    return BASE + random.randint(-12, 12)


def _dates(random: Random, count: int) -> Dates:
    rows = [_date(random) for _ in range(count)]
    return Dates(
        earliest=np.array([r[0] for r in rows], np.int32),
        latest=np.array([r[1] for r in rows], np.int32),
        reading=np.array([r[2] for r in rows], np.uint8),
        qualified=np.array([r[3] for r in rows], bool),
        text=[str(r) for r in rows],
        hint=[""] * count,
    )


def _date(random: Random) -> tuple[int, int, DateReading, bool]:
    kind = random.random()
    day = _day(random)
    if kind < 0.35:
        return day, day, DateReading.RUN, False
    if kind < 0.6:
        return day, day + random.randint(1, 12), DateReading.RUN, False
    if kind < 0.8:
        return day, day + random.randint(0, 30), DateReading.VAGUE, random.random() < 0.3
    if kind < 0.9:
        open_end = random.random() < 0.5
        return (day, int(OPEN_END), DateReading.VAGUE, False) if open_end else (int(OPEN_START), day, DateReading.VAGUE, False)
    return 0, 0, random.choice((DateReading.MISSING, DateReading.UNREADABLE, DateReading.CONFLICT)), False


_POINTS = ((9.95, 49.95), (9.97, 49.97), (9.9995, 49.95), (10.0003, 49.95), (10.05, 49.95), (10.2, 49.95), (9.92, 49.9),
           (9.9405, 49.95), (50.0, 9.95), (13.5, 49.5), (9.9501, 50.3))  # fmt: skip


def _place(random: Random) -> dict[str, object]:
    kind = random.random()
    lon, lat = random.choice(_POINTS)
    place: dict[str, object] = dict(lon=np.nan, lat=np.nan, position=Position.NONE, footprint=None)
    if kind < 0.7:
        place.update(lon=lon, lat=lat, position=Position.POINT)
    elif kind < 0.8:
        size = random.choice((0.0005, 0.01, 0.2))
        place.update(position=Position.FOOTPRINT, footprint=shapely.box(lon - size, lat - size, lon + size, lat + size))
    elif kind < 0.85:
        place.update(position=Position.INVALID)
    country = random.choice(("AT", "AT", "CZ", "", "SE"))
    return place | dict(
        radius=random.choice((np.nan, 30.0, 100.0, 900.0, 20_000.0)),
        precision=random.choice((0.0, 15.0, 1500.0)),
        datum=random.random() < 0.8,
        generalized=random.random() < 0.05,
        country=country,
        subdivision="AT-1" if country in ("AT", "") and random.random() < 0.3 else "",
        sites=tuple(random.sample(SITES, random.choice((0, 1, 1, 2)))),
    )


def _places(random: Random, count: int) -> Places:
    rows = [_place(random) for _ in range(count)]
    return Places(
        longitude_deg=np.array([r["lon"] for r in rows], np.float64),
        latitude_deg=np.array([r["lat"] for r in rows], np.float64),
        position=np.array([r["position"] for r in rows], np.uint8),
        radius_m=np.array([r["radius"] for r in rows], np.float64),
        precision_radius_m=np.array([r["precision"] for r in rows], np.float64),
        datum_known=np.array([r["datum"] for r in rows], bool),
        generalized=np.array([r["generalized"] for r in rows], bool),
        country=[r["country"] for r in rows],  # type: ignore[misc]
        subdivision=[r["subdivision"] for r in rows],  # type: ignore[misc]
        sites=[r["sites"] for r in rows],  # type: ignore[misc]
        footprint=[r["footprint"] for r in rows],  # type: ignore[misc]
        text=[""] * count,
    )


def _taxa(random: Random, count: int) -> Taxa:
    rows = [random.choice(_LINEAGES) for _ in range(count)]
    return Taxa(
        lineage=[tuple(row.get(rank, "") for rank in RANKS) for row in rows],
        unranked=[("anisoptera",) if row.get("order") == "odonata" and random.random() < 0.3 else () for row in rows],
        qualified=np.array([random.random() < 0.15 for _ in rows], bool),
        text=[next(reversed(row.values()), "") for row in rows],
    )


def _material(random: Random) -> Material:
    count = random.randint(1, 12)
    dates, places, taxa = _dates(random, 6), _places(random, 5), _taxa(random, 6)

    def pick(size: int, *, blank: bool = False) -> np.ndarray:
        return np.array([random.randint(-1 if blank else 0, size - 1) for _ in range(count)], np.int32)

    low = np.array([random.choice((0, 1, 1, 2, 3, 7)) for _ in range(count)], np.int64)
    high = low + np.array([random.choice((0, 0, 0, 2, int(UNBOUNDED))) for _ in range(count)], np.int64)
    specimens = Specimens(
        date=pick(6), exported=pick(6), imported=pick(6), transferred=pick(6), place=pick(5), taxon=pick(6),
        methods=pick(len(_METHODS)), people=pick(len(_PEOPLE)), sexes=pick(len(_SEXES)), life_stages=pick(len(_STAGES)),
        event=pick(2, blank=True), accession=pick(2, blank=True), catalog=pick(3, blank=True),
        count_low=low, count_high=high, count_assumed=np.array([random.random() < 0.3 for _ in range(count)], bool),
    )  # fmt: skip
    return Material(specimens, dates, places, taxa, _METHODS, _PEOPLE, _SEXES, _STAGES, ("E1", "E2"), ("A1", "A2"),
                    ("C1", "C2", "C3"))  # fmt: skip


def _item(random: Random) -> PlaceItem:
    error = random.choice((None, 0.0, 40.0, 500.0))
    return random.choice((
        PlaceItem(country="AT", boundary_error_m=random.choice((None, 10.0))),
        PlaceItem(subdivision="AT-1"),
        PlaceItem(country="SE"),
        PlaceItem(site=random.choice(SITES)),
        PlaceItem(site=random.choice(SITES), shape=WEST, boundary_error_m=error),
        PlaceItem(shape=WEST, boundary_error_m=error),
        PlaceItem(shape=EAST, boundary_error_m=error),
        PlaceItem(shape=POND, boundary_error_m=error),
        PlaceItem(disc=(9.95, 49.95, random.choice((1500.0, 6000.0))), boundary_error_m=error),
    ))  # fmt: skip


def _items(random: Random, chances: tuple[int, ...]) -> tuple[PlaceItem, ...]:
    return tuple(_item(random) for _ in range(random.choice(chances)))


def _listed(random: Random, chances: tuple[int, ...]) -> tuple[ListedTaxon, ...]:
    names = [random.choice(_LISTED) for _ in range(random.choice(chances))]
    return tuple(ListedTaxon(n, random.choice(("", "plantae", "animalia")) if n == "oenanthe" else "") for n in names)


def _words(random: Random, *words: str) -> Words:
    if random.random() < 0.6:
        return Words()
    return Words(frozenset(random.sample(words, random.randint(0, 1))), frozenset(random.sample(words, random.randint(0, 1))))


def _version(random: Random, start: int | None) -> Version:
    end = None if random.random() < 0.2 else (start or _day(random)) + random.randint(0, 15)
    seasons = ((4, 28), (5, 3)), ((5, 6), (5, 7)), ((12, 20), (1, 10))
    caps = [Cap(random.randint(0, 8), random.choice((None, ListedTaxon("odonata"), ListedTaxon("sympetrum"))),
                random.random() < 0.5, random.choice(("paper", "year", "site", "event")))
            for _ in range(random.choice((0, 0, 1, 2)))]  # fmt: skip
    return Version(
        from_day=start,
        to_day=end,
        include_places=_items(random, (0, 1, 1, 2, 3)),
        exclude_places=_items(random, (0, 0, 0, 1, 2)),
        include_taxa=_listed(random, (0, 1, 2)),
        exclude_taxa=_listed(random, (0, 0, 1)),
        methods=_words(random, "hand net", "light trap"),
        sexes=_words(random, "male", "female"),
        life_stages=_words(random, "adult", "larva"),
        people=random.choice(((), (), ("A. Person",), ("Anna Person", "B. Other"))),
        assistants=random.choice(tuple(Assistants)),
        closed_seasons=tuple(random.sample(seasons, random.choice((0, 0, 1, 2)))),
        caps=tuple(caps),
    )


def _paper(random: Random, number: int) -> Paper:
    if random.random() < 0.3:
        return _plain_paper(random, number)
    starts: list[int | None] = [*{_day(random) for _ in range(random.choice((0, 1, 1, 1, 2, 3)))}]
    if starts and random.random() < 0.15:
        starts[0] = None
    suspended = _day(random)
    suspensions = ((suspended, random.choice((None, suspended + 2))),) if random.random() < 0.2 else ()
    return Paper(
        reference=f"P-{number}",
        kind=random.choice(("collecting-permit", "cites-import-permit")),
        layers=frozenset(),
        jurisdiction=random.choice(("AT", "AT-1", "", "SE")),
        holder=random.choice(("", "C. Else")),
        versions=tuple(_version(random, start) for start in starts),
        suspensions=suspensions,
        revoked_day=_day(random) if random.random() < 0.1 else None,
        covers=_covers(random),
    )


def _plain_paper(random: Random, number: int) -> Paper:
    """A paper with few terms, so that covers and unions are common: its days, and one of two neighbouring areas."""
    start = _day(random)
    place = random.choice(((PlaceItem(shape=WEST),), (PlaceItem(shape=EAST),), (PlaceItem(country="AT"),)))
    exclude = (PlaceItem(shape=POND),) if random.random() < 0.3 else ()
    version = Version(start, start + random.randint(3, 20), include_places=place, exclude_places=exclude)
    return Paper(f"P-{number}", "landowner-consent", frozenset(), "AT", "", (version,), covers=Covers(all_accessions=True))


def _covers(random: Random) -> Covers:
    if random.random() < 0.5:
        return Covers(all_accessions=True)
    return Covers(
        accessions=frozenset(random.sample(("A1", "A2"), random.randint(0, 1))),
        sites=frozenset(random.sample(SITES, random.randint(0, 1))),
        events=frozenset(random.sample(("E1", "E2"), random.randint(0, 1))),
        specimens=frozenset(random.sample(("C1", "C2"), random.randint(0, 1))),
    )
