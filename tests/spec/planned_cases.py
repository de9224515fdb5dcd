"""The cases of the tables of this folder as stops of a field plan, so far as a plan can say what the case says.

A stop has days, a place, a country, a registered site, methods, people, a name with its kingdom, an expected number and
the days of the way home. It has none of the rest; what a case says of it makes that case one of specimens alone.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from governance.plans.planned_rows import PlannedRow
from tests.factories.engine import KINGDOMS, a_list, a_shape

ONLY_OF_SPECIMENS: Mapping[str, str] = {
    "precision_radius_m": "how coarse coordinates were written: a plan keeps numbers",
    "datum_known": "a plan is always in WGS84",
    "generalized": "nobody coarsens the place of a plan on purpose",
    "subdivision": "a stop has a country alone",
    "centre": "a drawn area has no stated point beside it in these tables",
    "qualified": "a target group is named without a doubt",
    "sexes": "a plan says nothing of sex",
    "stages": "a plan says nothing of life stages",
    "event": "a stop is its own event",
    "accession": "a stop is its own accession",
    "catalog": "nothing is catalogued yet",
}
"""Columns of specimens that a plan does not have, and why."""

_AS_PLANNED: Mapping[str, Any] = {"datum_known": True, "qualified": False, "generalized": False}

_DAYS = re.compile(r"\d{4}-\d\d-\d\d(/\d{4}-\d\d-\d\d)?")

DEFAULT_TAXON = "Animalia>Odonata>Libellulidae>Sympetrum"
"""As ``a_material`` has it."""

Rule = Mapping[str, Any]


def rows_of(rule: Rule) -> list[PlannedRow] | str:
    """The specimens of a case as stops, one each; or why that cannot be planned."""
    base = rule.get("specimen", {})
    found = []
    for number, more in enumerate(rule.get("specimens", [{}]), start=1):
        row = {**base, **more}
        if why := _why_not(row, rule):
            return why
        found.append(_row(number, row))
    return found


def _why_not(row: Mapping[str, Any], rule: Rule) -> str:
    for column, why in ONLY_OF_SPECIMENS.items():
        if column in row and row[column] != _AS_PLANNED.get(column, ""):
            return f"{column}: {why}"
    when = row.get("date", "2023-05-01")
    if when and not _DAYS.fullmatch(str(when)):
        return "date: a stop has days to the day, or none"
    if when and _DAYS.fullmatch(str(when)) and str(when)[:10] > str(when)[-10:]:
        return "date: the last day of a stop is not before the first"
    if row.get("place") == "invalid":
        return "place: a plan refuses a point that cannot be"
    if isinstance(row.get("place"), list) and row["place"][:2] == [0, 0]:
        return "place: 0, 0 as it is written is no place (section 4); the tables skip the reading"
    if rule.get("decided"):
        return "decided: for an accession; decisions for stops are tested with the register"
    if any("covers" in paper for paper in rule.get("papers", [{}])):
        return "covers: a paper is attached to a stop or linked to its site; tested with the register"
    return _why_no_number(row, rule) or _why_no_name(row)


def _why_no_number(row: Mapping[str, Any], rule: Rule) -> str:
    versions = [version for paper in rule.get("papers", [{}]) for version in (paper.get("versions") or [paper])]
    if any(version.get("caps") for version in versions):
        count = row.get("count")
        if count is None:
            return "count: a blank number is no bound in a plan, and one in a file of specimens"
        if count == "many" or (isinstance(count, list) and None in count):
            return "count: a plan says no bound by leaving the number blank"
    return ""


def _why_no_name(row: Mapping[str, Any]) -> str:
    names = [name.strip() for name in str(row.get("taxon", "")).split(">") if name.strip()]
    if any(":" in name for name in names):
        return "taxon: a target group is a name, and the register knows its rank"
    return ""


def _row(number: int, row: Mapping[str, Any]) -> PlannedRow:
    names = [name.strip() for name in str(row.get("taxon", DEFAULT_TAXON)).split(">") if name.strip()]
    kingdom = names[0] if names and names[0].casefold() in KINGDOMS and len(names) > 1 else ""
    first, _, last = str(row.get("date", "2023-05-01")).partition("/")
    first_on, last_on = (date.fromisoformat(text) if text else None for text in (first, last or first))
    home = (("exported", "exportedOn"), ("imported", "importedOn"), ("transferred", "transferredOn"))
    count = row.get("count", 1)
    return PlannedRow(
        plan=1, stop=number, method=" | ".join(a_list(row.get("methods", ""))), name=names[-1] if names else "",
        kingdom=kingdom, expected=f"{count[0]}-{count[1]}" if isinstance(count, (list, tuple)) else str(count or ""),
        first_on=first_on, last_on=last_on, people=" | ".join(a_list(row.get("people", ""))),
        place=tuple(_place(row).items()), home=tuple((term, str(row.get(key, ""))) for key, term in home),
    )  # fmt: skip


def lineages(rule: Rule) -> list[str]:
    """What the register knows of names: the whole paths that the case writes."""
    base = rule.get("specimen", {})
    rows = [{**base, **row} for row in rule.get("specimens", [{}])]
    return [str(row.get("taxon", DEFAULT_TAXON)) for row in rows]


def _place(row: Mapping[str, Any]) -> dict[str, str]:
    keys = a_list(row.get("site", ""))
    cells = {"countryCode": str(row.get("country", "")), "geodeticDatum": "EPSG:4326", "footprintSRS": "EPSG:4326"}
    cells |= dict(zip(("locationID", "siteName"), keys, strict=False))
    place = row.get("place", (-84.1, 9.9, 30.0))
    if isinstance(place, str):
        return cells | ({"footprintWKT": a_shape(place).wkt} if place else {})
    terms = ("decimalLongitude", "decimalLatitude", "coordinateUncertaintyInMeters")
    return cells | {term: f"{number:.9f}" for term, number in zip(terms, place, strict=False)}
