"""Builders of the engine's tables from a compact notation.

    a_material([{"date": "2023-05-01", "place": (-84.1, 9.9, 30.0), "taxon": "Odonata>Libellulidae>Sympetrum"}])
    a_paper(start="2023-05-01", end="2023-09-30", places=["box -85 9 -84 10"], taxa=["Odonata"])

Every key has a default, so that a test names only what it is about. The notation is for tests alone and read here on
purpose: nothing of the project's own readers of dates, names or files takes part.
"""

from __future__ import annotations

import calendar
import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from governance.engine.tables import (
    NONE,
    OPEN_END,
    OPEN_START,
    RANKS,
    UNBOUNDED,
    Assistants,
    Cap,
    Covers,
    DateReading,
    Dates,
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
    fold,
)

Row = Mapping[str, Any]

WORDS_THAT_ARE_NO_DATE = {
    "": DateReading.MISSING,
    "illegible": DateReading.UNREADABLE,
    "conflict": DateReading.CONFLICT,
}
KINGDOMS = {"animalia", "plantae", "fungi"}


def day(text: str) -> int:
    """The proleptic ordinal of a day written YYYY-MM-DD."""
    return date.fromisoformat(str(text)).toordinal()


def _span(text: str) -> tuple[int, int]:
    """First and last day of YYYY, YYYY-MM or YYYY-MM-DD."""
    parts = [int(x) for x in text.split("-")]
    if len(parts) == 1:
        return date(parts[0], 1, 1).toordinal(), date(parts[0], 12, 31).toordinal()
    if len(parts) == 2:
        last = calendar.monthrange(parts[0], parts[1])[1]
        return date(parts[0], parts[1], 1).toordinal(), date(parts[0], parts[1], last).toordinal()
    return day(text), day(text)


def _widened(text: str) -> tuple[int, int]:
    """A qualified date: one unit of its own precision more on each side."""
    first, last = _span(text)
    return _span(_unit_of(date.fromordinal(first - 1), text))[0], _span(_unit_of(date.fromordinal(last + 1), text))[1]


def _unit_of(some_day: date, like: str) -> str:
    return some_day.isoformat()[: len(like)]


def a_date(text: str) -> tuple[int, int, DateReading, bool]:
    """Earliest, latest, reading and qualified of one date.

    "2023-05-01" a day; "2023-05-01/2023-05-09" a run; "2023-05", "2023" vague; "2023-05-01?" qualified (one unit wider
    on each side); "2023-05-01/.." and "../2023-05-01" open; "" missing; "illegible" unreadable; "conflict".
    """
    if text in WORDS_THAT_ARE_NO_DATE:
        return 0, 0, WORDS_THAT_ARE_NO_DATE[text], False
    if text[-1] in "?~%":
        return (*_widened(text[:-1]), DateReading.VAGUE, True)
    start, _, end = text.partition("/")
    end = end or start
    first = int(OPEN_START) if start == ".." else _span(start)[0]
    last = int(OPEN_END) if end == ".." else _span(end)[1]
    both_to_the_day = len(start) == 10 and len(end) == 10
    return first, last, DateReading.RUN if both_to_the_day else DateReading.VAGUE, False


def a_shape(text: str) -> BaseGeometry:
    """ "box WEST SOUTH EAST NORTH" (west > east crosses +-180), several joined by "+", or WKT.

    A box wider than 90 degrees gets vertices in between, since no edge may span more than 180 degrees of longitude.
    """
    if not text.startswith("box"):
        return shapely.from_wkt(text)
    boxes = [part for piece in text.split("+") for part in _boxes(*(float(x) for x in piece.split()[1:5]))]
    return boxes[0] if len(boxes) == 1 else MultiPolygon(boxes)


def _boxes(west: float, south: float, east: float, north: float) -> list[Polygon]:
    if west > east:
        return _boxes(west, south, 180.0, north) + _boxes(-180.0, south, east, north)
    steps = math.ceil((east - west) / 90.0)
    if steps <= 1:
        return [box(west, south, east, north)]
    along = [west + (east - west) * k / steps for k in range(steps + 1)]
    return [Polygon([(x, south) for x in along] + [(x, north) for x in reversed(along)])]


def a_place_item(text: str) -> PlaceItem:
    """A place on a paper, in words in any order: "country CR", "subdivision CR-A", "site SITE-7", "box W S E N",
    "disc LON LAT RADIUS_M", "error METRES" (the boundary error); WKT after "wkt" as the last."""
    words, made = text.split(), {"text": text}  # type: tuple[list[str], dict[str, Any]]
    while words:
        key = words.pop(0)
        if key in ("country", "subdivision"):
            made[key] = words.pop(0)
        elif key == "site":
            made["site"] = fold(words.pop(0))
        elif key == "error":
            made["boundary_error_m"] = float(words.pop(0))
        elif key == "disc":
            made["disc"] = tuple(float(words.pop(0)) for _ in range(3))
        elif key == "box":
            made["shape"] = a_shape("box " + " ".join(words.pop(0) for _ in range(4)))
        elif key == "wkt":
            made["shape"], words = shapely.from_wkt(" ".join(words)), []
        else:
            raise ValueError(f'"{key}" in "{text}" is no place of this notation')
    return PlaceItem(**made)


def a_listed_taxon(text: str) -> ListedTaxon:
    """ "Odonata", or with its kingdom "Oenanthe (Plantae)"."""
    name, _, kingdom = text.partition("(")
    return ListedTaxon(fold(name), fold(kingdom.rstrip(") ")), text)


def a_cap(text: str | int) -> Cap:
    """ "LIMIT [of TAXON] [each species] [per paper|year|site|event]": "10 of Odonata each species per year"."""
    rest, _, per = str(text).partition(" per ")
    rest, each_species = rest.replace(" each species", ""), " each species" in rest
    limit, _, taxon = rest.partition(" of ")
    return Cap(int(limit), a_listed_taxon(taxon) if taxon else None, each_species, per or "paper")


def some_words(text: Iterable[str] = ()) -> Words:
    """Words allowed; those that begin with "not " are not allowed."""
    listed = [fold(word) for word in text]
    return Words(
        frozenset(word for word in listed if not word.startswith("not ")),
        frozenset(word.removeprefix("not ") for word in listed if word.startswith("not ")),
    )


def a_version(
    start: str | None = "2023-01-01",
    end: str | None = None,
    *,
    places: Sequence[str] = (),
    not_places: Sequence[str] = (),
    taxa: Sequence[str] = (),
    not_taxa: Sequence[str] = (),
    methods: Sequence[str] = (),
    sexes: Sequence[str] = (),
    stages: Sequence[str] = (),
    people: Sequence[str] = (),
    assistants: str = "not-allowed",
    closed: Sequence[str] = (),
    caps: Sequence[str | int] = (),
) -> Version:
    """One version; start None is unknown, end None is open. closed: seasons like "03-01/08-31"."""
    return Version(
        None if start is None else day(start),
        None if end is None else day(end),
        include_places=tuple(a_place_item(x) for x in places),
        exclude_places=tuple(a_place_item(x) for x in not_places),
        include_taxa=tuple(a_listed_taxon(x) for x in taxa),
        exclude_taxa=tuple(a_listed_taxon(x) for x in not_taxa),
        methods=some_words(methods),
        sexes=some_words(sexes),
        life_stages=some_words(stages),
        people=tuple(people),
        assistants=Assistants[assistants.upper().replace("-", "_")],
        closed_seasons=tuple(_season(x) for x in closed),
        caps=tuple(a_cap(x) for x in caps),
    )


def _season(text: str) -> tuple[tuple[int, int], tuple[int, int]]:
    (m0, d0), (m1, d1) = ([int(x) for x in end.split("-")] for end in text.split("/"))
    return (m0, d0), (m1, d1)


def a_paper(
    reference: str = "P-1",
    *,
    layers: str = "collecting",
    kind: str = "collecting-permit",
    jurisdiction: str = "CR",
    holder: str = "",
    versions: Sequence[Row] | None = None,
    suspended: Sequence[str] = (),
    revoked: str | None = None,
    covers: Row | None = None,
    **one_version: Any,
) -> Paper:
    """A paper linked to every accession, of one version unless ``versions`` lists several (``[]`` is an unread paper).

    layers: one or more layers, separated by blanks. suspended: runs like "2023-06-10/2023-06-20" or "2023-06-10/..".
    covers: any of accessions, sites, events, specimens, each a list; ``{"accessions": ["*"]}`` by default.
    Other keywords are those of ``a_version``.
    """
    listed = [one_version] if versions is None else versions
    return Paper(
        reference,
        kind,
        frozenset(Layer.from_code(x) for x in layers.split()),
        jurisdiction=jurisdiction,
        holder=holder,
        versions=tuple(a_version(**{"places": ["box -180 -90 180 90"], **v}) for v in listed),
        suspensions=tuple(_suspension(x) for x in suspended),
        revoked_day=None if revoked is None else day(revoked),
        covers=_covers(covers if covers is not None else {"accessions": ["*"]}),
    )


def _suspension(text: str) -> tuple[int, int | None]:
    first, _, last = text.partition("/")
    return day(first), None if last == ".." else day(last or first)


def _covers(links: Row) -> Covers:
    accessions = frozenset(links.get("accessions", ()))
    return Covers(
        all_accessions="*" in accessions,
        accessions=accessions - {"*"},
        sites=frozenset(fold(x) for x in links.get("sites", ())),
        events=frozenset(links.get("events", ())),
        specimens=frozenset(links.get("specimens", ())),
    )


def a_lineage(text: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Lineage and unranked names of "Odonata>Libellulidae>Sympetrum>Sympetrum striolatum".

    The rank of a name is told by its form: Animalia, Plantae and Fungi are kingdoms, -idae and -aceae families, two
    words a species, three an infraspecies. Another single word is a genus if a family stands before it or a binomial
    after it begins with it, else an order. "RANK:NAME" says it outright, "?:NAME" that it is not known.
    """
    names = [x.strip() for x in text.split(">") if x.strip()]
    lineage, unranked = [""] * len(RANKS), []
    for number, name in enumerate(names):
        rank, _, plain = name.rpartition(":")
        rank = rank or _rank_by_form(plain, names[:number], names[number + 1 :])
        if rank == "?":
            unranked.append(fold(plain))
        else:
            lineage[RANKS.index(rank)] = fold(plain)
    return tuple(lineage), tuple(unranked)


def _rank_by_form(name: str, before: Sequence[str], after: Sequence[str]) -> str:
    words = len(name.split())
    if words > 1:
        return "species" if words == 2 else "infraspecies"
    if fold(name) in KINGDOMS:
        return "kingdom"
    if name.endswith(("idae", "aceae")):
        return "family"
    below_family = any(x.endswith(("idae", "aceae")) for x in before)
    return "genus" if below_family or any(x.startswith(name + " ") for x in after) else "order"


def a_count(count: Any) -> tuple[int, int, bool]:
    """Lowest and highest number of individuals, and whether the count was blank: None, 7, (300, 500), "many"."""
    if count is None:
        return 1, 1, True
    if count == "many":
        return 1, int(UNBOUNDED), False
    low, high = (count, count) if isinstance(count, int) else count
    return low, int(UNBOUNDED) if high is None else high, False


def a_list(cell: Any) -> tuple[str, ...]:
    """The values of a cell: "hand net | light trap", or a sequence."""
    if isinstance(cell, str):
        return tuple(x.strip() for x in cell.split("|") if x.strip())
    return tuple(cell)


def a_place(row: Row) -> dict[str, Any]:
    """One place statement of a specimen row: see ``a_material`` for the keys."""
    place = row.get("place", (-84.1, 9.9, 30.0))
    made: dict[str, Any] = {
        "longitude_deg": math.nan,
        "latitude_deg": math.nan,
        "position": Position.NONE,
        "radius_m": math.nan,
        "precision_radius_m": float(row.get("precision_radius_m", 0.0)),
        "datum_known": bool(row.get("datum_known", True)),
        "generalized": bool(row.get("generalized", False)),
        "country": row.get("country", ""),
        "subdivision": row.get("subdivision", ""),
        "sites": tuple(fold(x) for x in a_list(row.get("site", ""))),
        "footprint": None,
        "text": str(place or ""),
    }
    if isinstance(place, str) and place == "invalid":
        made["position"] = Position.INVALID
    elif isinstance(place, str) and place:
        made |= {"position": Position.FOOTPRINT, "footprint": a_shape(place)}
        made |= dict(zip(("longitude_deg", "latitude_deg"), row.get("centre", ()), strict=False))
    elif place:
        made |= dict(zip(("longitude_deg", "latitude_deg", "radius_m"), map(float, place), strict=False))
        made["position"] = Position.POINT
    return made


def a_material(rows: Sequence[Row]) -> Material:
    """The material of some specimens, one row of the tables each.

    Keys of a row, all of them optional:
        date (2023-05-01), exported, imported, transferred (missing): see ``a_date``.
        place: ``(lon, lat, radius_m)``, ``(lon, lat)`` (radius unknown), "" (no coordinates), "invalid", or the text of
            a footprint (``a_shape``) with ``centre`` as its stated point.
        precision_radius_m, datum_known, generalized, country, subdivision, site ("KEY | OTHER KEY").
        taxon: see ``a_lineage``; qualified: True if a lower name was dropped.
        methods, people, sexes, stages: "one | other". event, accession ("A-1"), catalog: "" is blank.
        count: 7, (300, 500), (1, None), "many", or None for a blank one (the default is 1).
    """
    whens = [a_date(str(row.get(c, d))) for c, d in _DATE_COLUMNS.items() for row in rows]
    places = [a_place(row) for row in rows]
    lineages = [a_lineage(row.get("taxon", "Animalia>Odonata>Libellulidae>Sympetrum")) for row in rows]
    counts = [a_count(row.get("count", 1)) for row in rows]
    texts = {c: [str(row.get(c, default)) for row in rows] for c, default in _TEXT_COLUMNS.items()}
    distinct = {c: list(dict.fromkeys(t for t in texts[c] if t)) for c in texts}
    n = len(rows)
    own_row = np.arange(n, dtype=np.int32)
    columns: list[Any] = [
        *(own_row + np.int32(k * n) for k in range(4)),
        *(own_row for _ in range(6)),
        *(np.array([distinct[c].index(t) if t else NONE for t in texts[c]], dtype=np.int32) for c in texts),
        np.array([low for low, _, _ in counts], dtype=np.int64),
        np.array([high for _, high, _ in counts], dtype=np.int64),
        np.array([blank for _, _, blank in counts], dtype=np.bool_),
    ]
    specimens = Specimens(*columns)
    lists: dict[str, Any] = {
        c: [a_list(row.get(c, "")) for row in rows] for c in ("methods", "people", "sexes", "stages")
    }
    return Material(
        specimens,
        _dates(whens),
        _places(places),
        Taxa(
            [lineage for lineage, _ in lineages],
            [unranked for _, unranked in lineages],
            np.array([bool(row.get("qualified", False)) for row in rows], dtype=np.bool_),
            [str(row.get("taxon", "")) for row in rows],
        ),
        *lists.values(),
        *distinct.values(),
    )


_TEXT_COLUMNS = {"event": "", "accession": "A-1", "catalog": ""}
_DATE_COLUMNS = {"date": "2023-05-01", "exported": "", "imported": "", "transferred": ""}


def _dates(whens: Sequence[tuple[int, int, DateReading, bool]]) -> Dates:
    return Dates(
        np.array([first for first, _, _, _ in whens], dtype=np.int32),
        np.array([last for _, last, _, _ in whens], dtype=np.int32),
        np.array([reading for _, _, reading, _ in whens], dtype=np.uint8),
        np.array([qualified for _, _, _, qualified in whens], dtype=np.bool_),
        [""] * len(whens),
        [""] * len(whens),
    )


def _places(places: Sequence[Row]) -> Places:
    dtypes: dict[str, Any] = {
        "longitude_deg": np.float64,
        "latitude_deg": np.float64,
        "position": np.uint8,
        "radius_m": np.float64,
        "precision_radius_m": np.float64,
        "datum_known": np.bool_,
        "generalized": np.bool_,
    }
    arrays: dict[str, Any] = {name: np.array([p[name] for p in places], dtype=dtype) for name, dtype in dtypes.items()}
    lists: dict[str, Any] = {
        name: [p[name] for p in places] for name in ("country", "subdivision", "sites", "footprint", "text")
    }
    return Places(**arrays, **lists)


def some_outlines(
    countries: Mapping[str, str] | None = None, subdivisions: Mapping[str, str] | None = None
) -> Outlines:
    """Outlines by code, each in the notation of ``a_shape``."""
    return Outlines(
        {code: a_shape(text) for code, text in (countries or {}).items()},
        {code: a_shape(text) for code, text in (subdivisions or {}).items()},
    )


def some_requirements(
    layers: str = "collecting", rules: Sequence[str] | None = None, decided: Sequence[str] = ()
) -> Requirements:
    """Layers separated by blanks; rules like "collecting CR required 2000-01-01/.." or "collecting * not-required".

    decided: decisions like "collecting A-7".
    """
    pairs = [text.split(maxsplit=1) for text in decided]
    return Requirements(
        tuple(Layer.from_code(x) for x in layers.split()),
        None if rules is None else tuple(_rule(x) for x in rules),
        frozenset((Layer.from_code(layer), accession) for layer, accession in pairs),
    )


def _rule(text: str) -> Rule:
    layer, country, word, *days = text.split()
    start, _, end = (days[0] if days else "../..").partition("/")
    return Rule(
        Layer.from_code(layer),
        {"required": True, "not-required": False}[word],
        "an invented act, for tests",
        "" if country == "*" else country,
        None if start == ".." else day(start),
        None if end == ".." else day(end),
    )
