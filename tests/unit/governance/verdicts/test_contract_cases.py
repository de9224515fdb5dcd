"""The verdict contract, sentence by sentence, from the text of both files to the rows of verdicts out.

Every expected row is worked out by hand from the sentence of VERDICTS that stands as the name of the case. Metres are
those of WGS84 at the equator: 110,574.3 a degree of latitude, 111,319.5 a degree of longitude. Radii that a precision
implies are the published ones (Georeferencing Best Practices, 2020). A row is written "verdict finding measure against
unit", "-" for a blank and "*" for a measure left open; ";" parts the rows of one specimen and "|" the specimens.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from accessions.intake.problems import FileProblems
from governance.engine import HouseRules, Layer
from governance.verdicts.check import check_files
from governance.verdicts.writing import write_csv

Row = dict[str, str]
Paper = dict[str, Any]

_OF_PAPER = {"reference", "kind", "layers", "issuer", "jurisdiction", "holder", "issued_on", "versions", "suspensions",
             "revoked_on", "covers"}  # fmt: skip


def box(west: float, south: float, east: float, north: float, **more: Any) -> dict[str, Any]:
    ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    return {"geojson": {"type": "Polygon", "coordinates": [ring]}, **more}


HOME = box(10, 0, 11, 1)


def inc(*places: Any, exclude: Sequence[Any] = ()) -> dict[str, Any]:
    return {"include": list(places), "exclude": list(exclude)}


def P(reference: str = "P1", **keys: Any) -> Paper:
    """A collecting permit for one square from May to September 2023; keys of a version go into its one version."""
    version = {"in_force_from": "2023-05-01", "in_force_to": "2023-09-30", "places": inc(HOME)}
    version |= {k: v for k, v in keys.items() if k not in _OF_PAPER}
    paper = {"reference": reference, "kind": "collecting-permit", "layers": ["collecting"], "versions": [version],
             "covers": {"accessions": ["*"]}}  # fmt: skip
    return paper | {k: v for k, v in keys.items() if k in _OF_PAPER}


def V(start: str | None, end: str | None, **keys: Any) -> dict[str, Any]:
    return {"in_force_from": start, "in_force_to": end, "places": inc(HOME)} | keys


def R(**cells: str) -> Row:
    """A specimen in the middle of the square on 12 June 2023."""
    row = {"catalogNumber": "C1", "eventDate": "2023-06-12", "decimalLatitude": "0.5000",
           "decimalLongitude": "10.5000", "geodeticDatum": "WGS84", "coordinateUncertaintyInMeters": "30"}  # fmt: skip
    return row | cells


def N(**cells: str) -> Row:
    """The same without coordinates."""
    return R(decimalLatitude="", decimalLongitude="", geodeticDatum="", coordinateUncertaintyInMeters="", **cells)


def D(text: str, **cells: str) -> Row:
    return R(eventDate=text, **cells)


def at(latitude: str, longitude: str = "10.5000", **cells: str) -> Row:
    return R(**({"decimalLatitude": latitude, "decimalLongitude": longitude} | cells))


def other(layer: str, **keys: Any) -> Paper:
    return P(**({"layers": [layer], "kind": "other"} | keys))


def cap(limit: int, **keys: Any) -> Paper:
    return P(caps=[{"limit": limit, "each": "together", "per": "paper"} | keys])


def taxa(*include: Any, exclude: Sequence[Any] = ()) -> Paper:
    return P(taxa={"include": list(include), "exclude": list(exclude)})


def methods(*include: str, exclude: Sequence[str] = ()) -> Paper:
    return P(methods={"include": list(include), "exclude": list(exclude)})


def people(*named: str, **keys: Any) -> Paper:
    rule = {"assistants": keys.pop("assistants")} if "assistants" in keys else {}
    return P(people={"named": list(named), **rule}, **keys)


SJ = {"decimalLatitude": "9.92810", "decimalLongitude": "-84.09070"}
"""San José, Costa Rica: more than 30 km from either coast."""

SQUARE_WKT = "POLYGON((10.4 0.4,10.6 0.4,10.6 0.6,10.4 0.6,10.4 0.4))"
CROSSING_WKT = "POLYGON((10.4 -0.1,10.6 -0.1,10.6 0.1,10.4 0.1,10.4 -0.1))"
FOOT = {"footprintWKT": SQUARE_WKT, "footprintSRS": "EPSG:4326"}
CROSS = {"footprintWKT": CROSSING_WKT, "footprintSRS": "EPSG:4326"}

Case = tuple[str, Row | list[Row], Paper | list[Paper], str]

DAYS: list[Case] = [
    ("2 land: the collecting date", R(exportedOn="2020-01-01"), other("land"), "covered"),
    ("2 species: the collecting date", R(), other("species"), "covered"),
    ("2 protected-site: the collecting date", R(), other("protected-site"), "covered"),
    ("2 access: the collecting date", D("2023-10-01"), other("access"), "outside after-end 1 - days"),
    ("2 export: the day the material left", D("2020-01-01", exportedOn="2023-06-12"), other("export"), "covered"),
    ("2 export blank is date-missing", R(), other("export"), "cannot-tell date-missing"),
    ("2 import: the day it arrived", D("", importedOn="2023-04-29"), other("import"),
     "outside before-start 2 - days"),
    ("2 cites export: exportedOn", D("", exportedOn="2023-06-12", importedOn="2030-01-01"),
     other("cites", kind="cites-export-permit"), "covered"),
    ("2 cites import permit: importedOn", D("", exportedOn="2030-01-01", importedOn="2023-06-12"),
     other("cites", kind="cites-import-permit"), "covered"),
    ("2 cites import permit, importedOn blank", R(exportedOn="2023-06-12"),
     other("cites", kind="cites-import-permit"), "cannot-tell date-missing"),
    ("2 cites label: any other document exportedOn", R(importedOn="2023-06-12"),
     other("cites", kind="cites-exchange-label"), "cannot-tell date-missing"),
    ("2 transfer: transferredOn", D("", transferredOn="2023-06-12"), other("transfer"), "covered"),
    ("2 transfer blank", R(), other("transfer"), "cannot-tell date-missing"),
    ("3 both ends count: first day", D("2023-05-01"), P(), "covered"),
    ("3 both ends count: last day", D("2023-09-30"), P(), "covered"),
    ("3 before-start", D("2023-04-30"), P(), "outside before-start 1 - days"),
    ("3 after-end", D("2023-10-02"), P(), "outside after-end 2 - days"),
    ("3 reduced precision inside", D("2023-06"), P(), "covered"),
    ("3 reduced precision crosses an end", D("2023"), P(), "cannot-tell date-vague 153 365 days"),
    ("3 reduced precision disjoint", D("2023-04"), P(), "outside before-start 1 - days"),
    ("3 a run crosses an end", D("2023-04-29/2023-05-02"), P(), "straddles straddles 2 4 days"),
    ("3 abbreviated end is a run", D("2023-09-29/10-02"), P(), "straddles straddles 2 4 days"),
    ("3 a run of months is vague", D("2023-04/2023-05"), P(), "cannot-tell date-vague 31 61 days"),
    ("3 ? never gives yes", D("2023-06-12?"), P(), "cannot-tell date-vague 3 3 days"),
    ("3 ~ widened by a month", D("2023-06~"), P(), "cannot-tell date-vague 92 92 days"),
    ("3 % widened by a year", D("2023%"), P(), "cannot-tell date-vague 153 1096 days"),
    ("3 ? first widened", D("2023-04-30?"), P(), "cannot-tell date-vague 1 3 days"),
    ("3 ? widened yet disjoint", D("2023-04-28?"), P(), "outside before-start 2 - days"),
    ("3 Z inside", D("2023-06-12T10:00Z"), P(), "covered"),
    ("3 Z the day before", D("2023-05-01T08:00Z"), P(), "cannot-tell date-vague 1 2 days"),
    ("3 Z the day after", D("2023-09-30T12:00Z"), P(), "cannot-tell date-vague 1 2 days"),
    ("3 Z at 00:00:00", D("2023-05-01T00:00:00Z"), P(), "cannot-tell date-vague 1 2 days"),
    ("3 Z three days", D("2023-09-30T11:00Z"), P(), "cannot-tell date-vague 2 3 days"),
    ("3 any other offset: the day written", D("2023-05-01T23:30-05:00"), P(), "covered"),
    ("3 +00:00 is an offset", D("2023-09-30T23:30+00:00"), P(), "covered"),
    ("3 00:00:00 without a zone adds nothing", D("2023-05-01T00:00:00"), P(), "covered"),
    ("3 an interval with a Z end is vague", D("2023-09-29/2023-09-30T12:00Z"), P(),
     "cannot-tell date-vague 2 3 days"),
    ("3 open end", D("2023-06-12/.."), P(), "cannot-tell date-vague 111 - days"),
    ("3 missing end", D("2023-06-12/"), P(), "cannot-tell date-vague 111 - days"),
    ("3 open start", D("../2023-06-12"), P(), "cannot-tell date-vague 43 - days"),
    ("3 a decade", D("202X"), P(), "cannot-tell date-vague 153 3653 days"),
    ("3 no such day", D("2023-06-31"), P(), "cannot-tell date-unreadable"),
    ("3 review forms are date-unreadable", D("2023-21"), P(), "cannot-tell date-unreadable"),
    ("3 day and month either way round", D("03/06/2023"), P(), "cannot-tell date-unreadable"),
    ("3 slashes are interval marks", D("2023/06/12"), P(), "cannot-tell date-unreadable"),
    ("3 no date", D(""), P(), "cannot-tell date-missing"),
    ("3 no date: verbatim alone is none", D("", verbatimEventDate="12 June 2023"), P(), "cannot-tell date-missing"),
    ("3 year, month, day", D("", year="2023", month="6", day="12"), P(), "covered"),
    ("3 year, as vague as it is", D("", year="2023"), P(), "cannot-tell date-vague 153 365 days"),
    ("3 year and month", D("", year="2023", month="04"), P(), "outside before-start 1 - days"),
    ("3 verbatim not inside", D("2023-06-12", verbatimEventDate="13 June 2023"), P(), "cannot-tell date-conflict"),
    ("3 verbatim wider is not inside", D("2023-06-12", verbatimEventDate="June 2023"), P(),
     "cannot-tell date-conflict"),
    ("3 verbatim inside", D("2023-06", verbatimEventDate="12.vi.2023"), P(), "covered"),
    ("3 verbatim only by guessing", D("2023-06-12", verbatimEventDate="06/12/2023"), P(), "covered"),
    ("3 no day fits the filled year", D("2023-06-12", year="2022"), P(), "cannot-tell date-conflict"),
    ("3 no day fits the filled month", D("2023-06-12", month="7"), P(), "cannot-tell date-conflict"),
    ("3 a day fits", D("2023-06", day="12"), P(), "covered"),
    ("3 verbatim beside year, month, day", D("", year="2023", month="6", day="12", verbatimEventDate="12 May 2023"),
     P(), "cannot-tell date-conflict"),
    ("3 between-versions", D("2023-06-10"),
     P(versions=[V("2023-05-01", "2023-05-31"), V("2023-07-01", "2023-09-30")]),
     "outside between-versions 10 - days"),
    ("3 nothing falls back to an older one", D("2023-06-10"),
     P(versions=[V("2023-01-01", "2023-12-31"), V("2023-05-01", "2023-05-31")]), "outside after-end 10 - days"),
    ("3 suspended", D("2023-06-12"), P(suspensions=[["2023-06-10", "2023-06-20"]]), "outside suspended 3 - days"),
    ("3 a run touches a hole", D("2023-06-09/2023-06-10"), P(suspensions=[["2023-06-10", "2023-06-20"]]),
     "straddles straddles 1 2 days"),
    ("3 vague over a hole", D("2023-06"), P(suspensions=[["2023-06-10", "2023-06-20"]]),
     "cannot-tell date-vague 19 30 days"),
    ("3 days from revocation on", D("2023-06-12"), P(revoked_on="2023-06-12"), "outside revoked 1 - days"),
    ("3 the day before revocation", D("2023-06-11"), P(revoked_on="2023-06-12"), "covered"),
    ("3 reason of the invalid day beside the nearest valid one", D("2024-01-01"), P(revoked_on="2023-06-12"),
     "outside revoked 204 - days"),
    ("3 first of revoked, suspended", D("2023-06-12"),
     P(revoked_on="2023-06-12", suspensions=[["2023-06-12", "2023-06-20"]]), "outside revoked 1 - days"),
    ("3 closed-season, both ends closed", D("2023-06-12"), P(closed_seasons=[["06-12", "06-12"]]),
     "outside closed-season 1 - days"),
    ("3 a season wraps", D("2023-05-10"), P(closed_seasons=[["11-01", "05-15"]]), "outside closed-season 6 - days"),
    ("3 a start on 02-29 is 03-01", [D("2023-02-28"), D("2023-03-01")],
     P(in_force_from="2023-01-01", closed_seasons=[["02-29", "03-10"]]),
     "covered | outside closed-season 1 - days"),
    ("3 an end on 02-29 is 02-28", [D("2023-02-28"), D("2023-03-01"), D("2024-02-29")],
     P(in_force_from="2023-01-01", in_force_to=None, closed_seasons=[["02-10", "02-29"]]),
     "outside closed-season 1 - days | covered | outside closed-season 1 - days"),
    ("3 no day of I is valid: no, whatever it touches", D("2023-06-15/2023-06-25"),
     P(suspensions=[["2023-06-10", "2023-06-20"]], closed_seasons=[["06-21", "06-30"]]),
     "outside suspended 6 - days"),
    ("3 a missing end is open", D("2040-01-01"), P(in_force_to=None), "covered"),
    ("3 a missing start: start-unknown", D("2023-06-12"), P(in_force_from=None), "cannot-tell start-unknown"),
    ("3 a missing start: after-end", D("2023-10-02"), P(in_force_from=None), "outside after-end 2 - days"),
    ("3 a missing start: a run over the known end", D("2023-09-30/2023-10-01"), P(in_force_from=None),
     "straddles straddles 1 2 days"),
    ("3 issued_on is never a start", D("2023-06-12"), P(in_force_from=None, issued_on="2023-01-01"),
     "cannot-tell start-unknown"),
]  # fmt: skip

NET: dict[str, Any] = {"methods": {"include": ["net"]}}
TRAP: dict[str, Any] = {"methods": {"include": ["trap"]}}
TWO = [V("2023-05-01", "2023-09-30", **NET), V("2023-07-01", "2023-09-30", **TRAP)]
VERSIONS: list[Case] = [
    ("3 the version in force decides", [D("2023-06-30", samplingProtocol="net"),
                                        D("2023-07-01", samplingProtocol="net")], P(versions=TWO),
     "covered | outside method"),
    ("3 a run takes the least favourable", D("2023-06-30/2023-07-01", samplingProtocol="net"), P(versions=TWO),
     "outside method"),
    ("3 vague: yes and no is version-vague", D("2023-06/2023-07", samplingProtocol="net"), P(versions=TWO),
     "cannot-tell version-vague"),
    ("3 vague: every one says no", D("2023-06/2023-07", samplingProtocol="gun"), P(versions=TWO), "outside method"),
    ("3 not added where all are unknown for one reason", D("2023-06/2023-07"), P(versions=TWO),
     "cannot-tell method-missing"),
    ("3 missing touches all", D("", samplingProtocol="net"), P(versions=TWO),
     "cannot-tell date-missing ; cannot-tell version-vague"),
    ("3 unreadable touches all", D("x", samplingProtocol="gun"), P(versions=TWO),
     "outside date-unreadable ; outside method"),
]  # fmt: skip

S9 = {"site": "Site 9"}
PLACES: list[Case] = [
    ("4 import, no place: nothing of the place is tested", at("91", importedOn="2023-06-12"),
     other("import", places=inc()), "covered"),
    ("4 import: the jurisdiction does not stand in", R(importedOn="2023-06-12"),
     other("import", places=inc(), jurisdiction="CR"), "covered"),
    ("4 import, exclusions alone: everywhere but these", [at("-5.0000", importedOn="2023-06-12"),
                                                          R(importedOn="2023-06-12")],
     other("import", places=inc(exclude=[HOME]), jurisdiction="CR"),
     "covered | outside excluded-area -55287 30 m"),
    ("4 latitude 91", at("91"), P(), "cannot-tell coordinates-invalid"),
    ("4 one of two", at(""), P(), "cannot-tell coordinates-invalid"),
    ("4 NaN", at("NaN"), P(), "cannot-tell coordinates-invalid"),
    ("4 text", at("north"), P(), "cannot-tell coordinates-invalid"),
    ("4 a comma is no decimal point", at("0,5"), P(), "cannot-tell coordinates-invalid"),
    ("4 invalid, whatever is named", at("91", siteName="S1"), P(places=inc({"site": "S1"})),
     "cannot-tell coordinates-invalid"),
    ("4 invalid, but a valid footprint", at("91", **FOOT), P(), "covered"),
    ("4 coarsened on purpose", R(dataGeneralizations="to 10 km"), P(), "cannot-tell coordinates-generalized"),
    ("4 withheld", at("-5.0000", informationWithheld="yes"), P(), "cannot-tell coordinates-generalized"),
    ("4 generalized: a blank word is no text", R(dataGeneralizations="none"), P(), "covered"),
    ("4 generalized without coordinates", N(siteName="S1", informationWithheld="x"), P(places=inc({"site": "S1"})),
     "covered by-name"),
    ("4 country-mismatch", R(countryCode="CR"), P(), "cannot-tell country-mismatch * 30 m"),
    ("4 swapped", at("-84.0907", "9.9281", countryCode="CR"), P(),
     "cannot-tell country-mismatch * 30 m ; cannot-tell swapped"),
    ("4 sign", at("9.9281", "84.0907", countryCode="CR"), P(),
     "cannot-tell country-mismatch * 30 m ; cannot-tell sign"),
    ("4 mismatch, and at sea within 200 nautical miles of it", at("9.0000", "-86.5000", countryCode="CR"),
     P(places=inc(box(-87, 8, -86, 10))), "covered"),
    ("4 at-sea", at("9.0000", "-86.5000"), P(places=inc({"country": "CR"})), "cannot-tell at-sea * 370400 m"),
    ("4 at sea off a drawn place is outside", at("0.0000", "-30.0000"), P(places=inc(box(-32, 0.1, -29, 1))),
     "outside outside-area 11057.4 30 m"),
    ("4 on land of another country is outside", at("8.5000", "-80.5000"), P(places=inc({"country": "CR"})),
     "outside outside-area * 30 m"),
    ("4 a country outline", R(**SJ), P(places=inc({"country": "CR"})), "covered"),
    ("4 unknown radius: blank", R(coordinateUncertaintyInMeters=""), P(), "covered radius-assumed"),
    ("4 unknown radius: zero is unknown", at("0.0050", coordinateUncertaintyInMeters="0"), P(),
     "cannot-tell area-edge -552.9 1000 m"),
    ("4 unknown radius: negative", at("0.0050", coordinateUncertaintyInMeters="-5"), P(),
     "cannot-tell area-edge -552.9 1000 m"),
    ("4 unknown radius: unreadable", at("0.0050", coordinateUncertaintyInMeters="1,5"), P(),
     "cannot-tell area-edge -552.9 1000 m"),
    ("4 a radius with an exponent is a number", R(coordinateUncertaintyInMeters="1e+05"), P(),
     "cannot-tell area-edge -55287 100000 m"),
    ("4 the written precision, a full cell", at("0.1", "10.5", coordinateUncertaintyInMeters=""), P(),
     "cannot-tell area-edge -11057.4 15691 m"),
    ("4 the coarser of the two axes", at("0.0500", "10.5", coordinateUncertaintyInMeters=""), P(),
     "cannot-tell area-edge -5528.7 15691 m"),
    ("4 coordinatePrecision if larger", at("0.0500", coordinateUncertaintyInMeters="", coordinatePrecision="0.1"), P(),
     "cannot-tell area-edge -5528.7 15691 m"),
    ("4 a stated radius stands", at("0.1", "10.5"), P(), "covered"),
    ("4 datum not stated", R(geodeticDatum=""), P(), "covered datum-assumed"),
    ("4 the datum allowance is in the radius", at("0.0020", geodeticDatum="local"), P(),
     "cannot-tell area-edge -221.1 280 m"),
    ("4 a stated datum near the edge", at("0.0020"), P(), "covered"),
    ("4 radius and datum unknown", R(geodeticDatum="", coordinateUncertaintyInMeters=""), P(),
     "covered radius-assumed ; covered datum-assumed"),
    ("4 0,0 is missing", at("0", "0"), P(), "cannot-tell place-missing"),
    ("4 place-conflict", at("-0.1000", siteName="s1"), P(places=inc({**HOME, "site": "S1"})),
     "cannot-tell place-conflict 11057.4 30 m"),
    ("4 place-conflict at an excluded site", R(siteName="site 9"),
     P(places=inc(HOME, exclude=[{**box(10, 0.6, 11, 1), **S9}])), "cannot-tell place-conflict 11057.4 30 m"),
    ("4 the specimen names a site that the paper excludes", R(siteName="SITE  9"), P(places=inc(HOME, exclude=[S9])),
     "outside excluded-area"),
    ("4 locationID names it", N(locationID="site 9", siteName="elsewhere"), P(places=inc(HOME, exclude=[S9])),
     "outside excluded-area"),
    ("4 by name: the site", N(siteName=" site  9 "), P(places=inc(S9)), "covered by-name"),
    ("4 by name: a mapped site", N(siteName="S1"), P(places=inc({**HOME, "site": "S1"})), "covered by-name"),
    ("4 by name: the paper excludes something", N(siteName="Site 9"), P(places=inc(S9, exclude=[{"site": "Q"}])),
     "cannot-tell place-missing"),
    ("4 by name: the whole stated country", N(countryCode="CR"), P(places=inc({"country": "CR"})), "covered by-name"),
    ("4 by name: another country", N(countryCode="PA"), P(places=inc({"country": "CR"})), "cannot-tell place-missing"),
    ("4 by name: Namibia", N(countryCode="NA"), P(places=inc({"country": "NA"})), "covered by-name"),
    ("4 by name: ISO 3166-2", N(stateProvince="CR-A"), P(places=inc({"subdivision": "CR-A"})), "covered by-name"),
    ("4 by name: countryCode agrees", N(stateProvince="CR-A", countryCode="CR"), P(places=inc({"subdivision": "CR-A"})),
     "covered by-name"),
    ("4 by name: countryCode disagrees", N(stateProvince="CR-A", countryCode="PA"),
     P(places=inc({"subdivision": "CR-A"})), "cannot-tell place-missing"),
    ("4 by name: countryCode is neither blank nor agrees", N(stateProvince="CR-A", countryCode="PAN"),
     P(places=inc({"subdivision": "CR-A"})), "cannot-tell place-missing"),
    ("4 by name: countryCode ZZ is neither blank nor agrees", N(stateProvince="CR-A", countryCode="ZZ"),
     P(places=inc({"country": "CR"})), "cannot-tell place-missing"),
    ("4 by name: the country of a subdivision is not enough", N(countryCode="CR"),
     P(places=inc({"subdivision": "CR-A"})), "cannot-tell place-missing"),
    ("4 by name: a name is no code", N(stateProvince="Alajuela"), P(places=inc({"subdivision": "CR-A"})),
     "cannot-tell place-missing"),
    ("4 no coordinates otherwise", N(), P(), "cannot-tell place-missing"),
    ("4 the specimen's site, unmapped", at("50.0000", siteName="SITE 9"), P(places=inc(S9)), "covered by-name"),
    ("4 the specimen's site, unmapped, S touches an exclusion", at("0.6010", siteName="Site 9",
                                                                   coordinateUncertaintyInMeters="200"),
     P(places=inc(S9, HOME, exclude=[box(10.4, 0.4, 10.6, 0.6)])), "cannot-tell exclusion-edge 110.6 200 m"),
    ("4 wholly inside an excluded place", R(), P(places=inc(HOME, exclude=[box(10.4, 0.4, 10.6, 0.6)])),
     "outside excluded-area -11057.4 30 m"),
    ("4 of several excluded places the first listed", R(),
     P(places=inc(HOME, exclude=[box(10.3, 0.3, 10.7, 0.7), box(10.4, 0.4, 10.6, 0.6)])),
     "outside excluded-area -22114.9 30 m"),
    ("4 outside, and an unmapped place", at("-0.1000"), P(places=inc(HOME, S9)), "cannot-tell area-not-mapped"),
    ("4 outside-area", at("-0.1000"), P(), "outside outside-area 11057.4 30 m"),
    ("4 outside within radius", at("-0.0010", coordinateUncertaintyInMeters="200"), P(),
     "cannot-tell area-edge 110.6 200 m"),
    ("4 exclusion-edge", at("0.6010", coordinateUncertaintyInMeters="200"),
     P(places=inc(HOME, exclude=[box(10.4, 0.4, 10.6, 0.6)])), "cannot-tell exclusion-edge 110.6 200 m"),
    ("4 an excluded site is unmapped and no site is named", R(), P(places=inc(HOME, exclude=[S9])),
     "cannot-tell area-not-mapped"),
    ("4 an excluded site is unmapped and another is named", R(siteName="S2"), P(places=inc(HOME, exclude=[S9])),
     "covered"),
    ("4 boundary_error_m", at("0.0300"), P(places=inc({**HOME, "boundary_error_m": 5000})),
     "cannot-tell area-edge -3317.2 30 m"),
    ("4 outside by less than the error", at("-0.0300"), P(places=inc({**HOME, "boundary_error_m": 5000})),
     "cannot-tell area-edge 3317.2 30 m"),
    ("4 included places that meet", at("0.5000", "11.0000"), P(places=inc(HOME, box(11, 0, 12, 1))), "covered"),
    ("4 included places that overlap", at("0.5000", "11.0000"),
     P(places=inc(box(10, 0, 11.0001, 1), box(10.9999, 0, 12, 1))), "covered"),
    ("4 a disc holds S", at("0.5400"), P(places=inc({"point": [10.5, 0.5], "radius_m": 5000})), "covered"),
    ("4 near the edge of a disc", at("0.5400", coordinateUncertaintyInMeters="600"),
     P(places=inc({"point": [10.5, 0.5], "radius_m": 5000})), "cannot-tell area-edge -577 600 m"),
    ("4 outside a disc", at("0.5600"), P(places=inc({"point": [10.5, 0.5], "radius_m": 5000})),
     "outside outside-area 1634.5 30 m"),
    ("4 a footprint inside", N(**FOOT), P(), "covered"),
    ("4 a footprint wins over the point", R(**CROSS), P(), "cannot-tell area-edge -55287 0 m"),
    ("4 a footprint's centre is the mean of its vertices", N(**CROSS), P(), "cannot-tell area-edge 0 0 m"),
    ("4 a stated radius is not added to a footprint", R(coordinateUncertaintyInMeters="90000", **FOOT), P(), "covered"),
    ("4 a footprint's datum not stated", N(footprintWKT=SQUARE_WKT), P(), "covered datum-assumed"),
    ("4 an invalid footprint, the point stands", R(footprintWKT="POLYGON((1 2"), P(), "covered"),
    ("4 an invalid footprint alone", N(footprintWKT="POLYGON((1 2"), P(), "cannot-tell coordinates-invalid"),
    ("4 jurisdiction stands in: country", R(**SJ), P(places=inc(), jurisdiction="CR"), "covered place-not-stated"),
    ("4 jurisdiction stands in: subdivision", at("31.0000", "-99.0000"), P(places=inc(), jurisdiction="US-TX"),
     "covered place-not-stated"),
    ("4 jurisdiction stands in: another subdivision", at("35.5000", "-97.5000"), P(places=inc(), jurisdiction="US-TX"),
     "outside outside-area * 30 m"),
    ("4 jurisdiction stands in by name", N(countryCode="CR"), P(places=inc(), jurisdiction="CR"),
     "covered by-name ; covered place-not-stated"),
    ("4 only exclusions: the jurisdiction minus these", [R(**SJ), at("8.5000", "-80.5000"),
                                                         at("10.5000", "-85.2000")],
     P(places=inc(exclude=[box(-84.3, 9.7, -83.9, 10.1)]), jurisdiction="CR"),
     "outside excluded-area * 30 m | outside outside-area * 30 m | covered place-not-stated"),
    ("4 export: the jurisdiction stands in", R(exportedOn="2023-06-12", **SJ),
     other("export", places=inc(), jurisdiction="CR"), "covered place-not-stated"),
    ("4 neither places nor jurisdiction", R(), P(places=inc()), "cannot-tell place-not-stated"),
    ("4 neither, and no coordinates", N(countryCode="CR"), P(places=inc()), "cannot-tell place-not-stated"),
    ("4 across the antimeridian", at("0.5000", "-179.9000"), P(places=inc(box(179, 0, 180, 1), box(-180, 0, -179, 1))),
     "covered"),
    ("4 metres across the antimeridian", at("0.5000", "-179.9000"), P(places=inc(box(179, 0, 180, 1))),
     "outside outside-area 11131.5 30 m"),
]  # fmt: skip

DRAGON = {"kingdom": "Animalia", "order": "Odonata"}
PLANT = {"kingdom": "Plantae", "genus": "Oenanthe"}
BIRD = {"kingdom": "Animalia", "genus": "Oenanthe"}
NAMES: list[Case] = [
    ("5 at or below an included name", R(**DRAGON, family="Aeshnidae"), taxa("odonata"), "covered"),
    ("5 not included", [R(**DRAGON), R(kingdom="Animalia", order="Coleoptera")], taxa("Odonata"),
     "covered | outside taxon-not-included"),
    ("5 unplaced, of no known rank, is ruled out by nothing", R(kingdom="Animalia", order="Coleoptera"),
     taxa("Odonata"), "cannot-tell taxon-unresolved"),
    ("5 unplaced in -idae, another family", R(family="Carabidae"), taxa("Aeshnidae"), "outside taxon-not-included"),
    ("5 unplaced in -aceae, family blank", R(order="Rosales"), taxa("Rosaceae"), "cannot-tell taxon-unresolved"),
    ("5 unplaced binomial, another genus", R(scientificName="Cus dus"), taxa("Aus bus"), "outside taxon-not-included"),
    ("5 unplaced binomial, another species", R(scientificName="Aus dus"), taxa("Aus bus"),
     "outside taxon-not-included"),
    ("5 unplaced binomial, the genus alone", R(scientificName="Aus sp."), taxa("Aus bus"),
     "cannot-tell taxon-unresolved"),
    ("5 authorship removed", R(scientificName="Libellula depressa L."), taxa("Libellula depressa Linnaeus, 1758"),
     "covered"),
    ("5 excluded wins", R(**DRAGON, family="Cordulegastridae"), taxa("Odonata", exclude=["Cordulegastridae"]),
     "outside taxon-excluded"),
    ("5 above an excluded name", [R(**DRAGON, family="Cordulegastridae"), R(**DRAGON), R(**DRAGON, family="Aeshnidae")],
     taxa("Odonata", exclude=["Cordulegastridae"]), "outside taxon-excluded | cannot-tell taxon-broad | covered"),
    ("5 an excluded name is unplaced", R(**DRAGON), taxa("Odonata", exclude=["Xus"]), "cannot-tell taxon-unresolved"),
    ("5 an excluded name with a qualifier is ruled out by nothing of its genus", R(scientificName="Aus bus"),
     taxa("Aus", exclude=["Aus cf. bus"]), "cannot-tell taxon-unresolved"),
    ("5 above an included name", [R(**DRAGON, family="Aeshnidae"), R(**DRAGON)], taxa("Aeshnidae"),
     "covered | cannot-tell taxon-broad"),
    ("5 no path", R(), taxa("Odonata"), "cannot-tell taxon-unresolved"),
    ("5 * sets no limit", R(), taxa("*"), "covered"),
    ("5 no include, some exclude", [R(**DRAGON), R(order="Coleoptera", kingdom="Animalia")],
     taxa(exclude=["Odonata"]), "outside taxon-excluded | covered"),
    ("5 two kingdoms", [R(**PLANT), R(**BIRD), R(kingdom="Animalia", genus="Passer")], taxa("Oenanthe"),
     "cannot-tell taxon-ambiguous | cannot-tell taxon-ambiguous | outside taxon-not-included"),
    ("5 two kingdoms, the paper says which", [R(**PLANT), R(**BIRD)],
     taxa({"name": "Oenanthe", "kingdom": "plantae"}), "covered | outside taxon-not-included"),
    ("5 higherClassification", R(higherClassification="Animalia|Insecta|Odonata"), taxa("Odonata"), "covered"),
    ("5 the whole specimens file is the classification",
     [R(order="Odonata", genus="Aeshna"), R(scientificName="Aeshna cyanea")], taxa("Odonata"), "covered | covered"),
    ("5 cf. drops the lowest name", R(scientificName="Libellula cf. depressa"), taxa("Libellula depressa"),
     "cannot-tell taxon-qualified"),
    ("5 aff., the rest decides", R(scientificName="Libellula aff. depressa"), taxa("Libellula"), "covered"),
    ("5 ? drops the lowest name", R(scientificName="Libellula depressa?"), taxa("Libellula depressa"),
     "cannot-tell taxon-qualified"),
    ("5 sp. agg.", R(scientificName="Libellula depressa agg."), taxa("Libellula depressa"),
     "cannot-tell taxon-qualified"),
    ("5 identificationQualifier", R(scientificName="Libellula depressa", identificationQualifier="nr."),
     taxa("Libellula depressa"), "cannot-tell taxon-qualified"),
    ("5 a qualifier in verbatimIdentification", R(scientificName="Libellula depressa",
                                                  verbatimIdentification="Libellula cf. depressa"),
     taxa("Libellula depressa"), "cannot-tell taxon-qualified"),
    ("5 a qualifier in a rank column", R(genus="cf. Libellula"), taxa("Libellula"), "cannot-tell taxon-qualified"),
    ("5 qualified, excluded species stays in doubt", R(scientificName="Aus cf. bus"), taxa("Aus", exclude=["Aus bus"]),
     "cannot-tell taxon-qualified"),
    ("5 a trinomial is below its species", R(scientificName="Aus bus cus"), taxa("Aus bus"), "covered"),
]  # fmt: skip

WORDS: list[Case] = [
    ("6 all listed as allowed", R(samplingProtocol="Hand  Net | light trap"), methods("hand net", "LIGHT TRAP"),
     "covered"),
    ("6 none", R(samplingProtocol="gun"), methods("hand net"), "outside method"),
    ("6 some", R(samplingProtocol="gun | hand net"), methods("hand net"), "cannot-tell method-mixed"),
    ("6 blank", R(samplingProtocol="n/a"), methods("hand net"), "cannot-tell method-missing"),
    ("6 a forbidden one counts as not allowed", R(samplingProtocol="gun | net"), methods(exclude=["Gun"]),
     "cannot-tell method-mixed"),
    ("6 forbidden and allowed", R(samplingProtocol="net"), methods("net", exclude=["net"]), "outside method"),
    ("6 a method not known beside an allowed one is not 'all allowed'", R(samplingProtocol="hand net | unknown"),
     methods("hand net"), "cannot-tell method-mixed"),
    ("6 sex", R(sex="Female"), P(sexes={"include": ["male"]}), "outside sex"),
    ("6 sex-mixed", R(sex="male | female"), P(sexes={"include": ["male"]}), "cannot-tell sex-mixed"),
    ("6 a sex not known beside an allowed one", R(sex="male | unknown"), P(sexes={"include": ["male"]}),
     "cannot-tell sex-mixed"),
    ("6 sex-missing", R(), P(sexes={"include": ["male"]}), "cannot-tell sex-missing"),
    ("6 life-stage", R(lifeStage="larva"), P(life_stages={"exclude": ["larva"]}), "outside life-stage"),
    ("6 life-stage-mixed", R(lifeStage="larva | adult"), P(life_stages={"exclude": ["larva"]}),
     "cannot-tell life-stage-mixed"),
    ("6 life-stage-missing", R(lifeStage="-"), P(life_stages={"exclude": ["larva"]}), "cannot-tell life-stage-missing"),
    ("6 all names on the paper, Family, Given", R(recordedBy="Lund, Vera | a.b. berg"),
     people("Vera Lund", "A. B. Berg"), "covered"),
    ("6 some, allowed", R(recordedBy="Vera Lund | Ole Dal"), people("Vera Lund", assistants="allowed"), "covered"),
    ("6 some, supervised", R(recordedBy="Vera Lund | Ole Dal"), people("Vera Lund", assistants="supervised"),
     "covered supervision-not-evidenced"),
    ("6 some, not-allowed", R(recordedBy="Vera Lund | Ole Dal"), people("Vera Lund", assistants="not-allowed"),
     "cannot-tell person-mixed"),
    ("6 some, absent is not-allowed", R(recordedBy="Vera Lund | Ole Dal"), people("Vera Lund"),
     "cannot-tell person-mixed"),
    ("6 none on the paper, though assistants are allowed", R(recordedBy="Ole Dal"),
     people("Vera Lund", assistants="allowed"), "outside person"),
    ("6 blank person", R(), people("Vera Lund"), "cannot-tell person-missing"),
    ("6 names nobody", R(), P(people={"named": [], "assistants": "not-allowed"}, holder="Vera Lund"), "covered"),
    ("6 the holder counts as named", R(recordedBy="Ole Dal"), people("Vera Lund", holder="Dal, Ole"), "covered"),
    ("6 initials that fit", R(recordedBy="V. Lund"), people("Vera Lund"), "cannot-tell person-maybe"),
    ("6 initials that do not fit", R(recordedBy="O. Lund"), people("Vera Lund"), "outside person"),
    ("6 a collector not known beside a named one is not 'all named'", R(recordedBy="Vera Lund | unknown"),
     people("Vera Lund"), "cannot-tell person-mixed"),
]  # fmt: skip


def lot(day: str, count: str = "", **cells: str) -> Row:
    return R(eventDate=f"2023-06-{day}", individualCount=count, **cells)


AUS, CUS, GENUS = {"scientificName": "Aus bus"}, {"scientificName": "Aus cus"}, {"scientificName": "Aus sp."}
NUMBERS: list[Case] = [
    ("6 yes if A <= cap", lot("01", "10"), cap(10), "covered"),
    ("6 else unknown (A, cap)", lot("01", "11"), cap(10), "cannot-tell cap-possible 11 10 individuals"),
    ("6 B >= cap", [lot("01", "10"), lot("02", "1")], cap(10), "covered | outside cap-breached 10 10 individuals"),
    ("6 up to and including its event", [lot("01", "6"), lot("01", "6")], cap(10),
     "cannot-tell cap-possible 12 10 individuals | cannot-tell cap-possible 12 10 individuals"),
    ("6 many is 1 to no bound", [lot("01", "many"), lot("02", "1")], cap(10),
     "cannot-tell cap-possible - 10 individuals | cannot-tell cap-possible - 10 individuals"),
    ("6 countRange wins", [lot("01", "1", countRange="5-12")], cap(10), "cannot-tell cap-possible 12 10 individuals"),
    ("6 the low end of countRange counts certainly", [lot("01", countRange="10-20"), lot("02", "1")], cap(10),
     "cannot-tell cap-possible 20 10 individuals | outside cap-breached 10 10 individuals"),
    ("6 other text in countRange is 1 to no bound", lot("01", countRange="ca. 4"), cap(10),
     "cannot-tell cap-possible - 10 individuals"),
    ("6 a range in individualCount is text", lot("01", "3-5"), cap(10), "cannot-tell cap-possible - 10 individuals"),
    ("6 a blank count is 1", lot("01"), cap(1), "covered count-assumed"),
    ("6 a blank count without a cap has no remark", lot("01"), P(), "covered"),
    ("6 a blank count of a lot", lot("01", unit="lot"), cap(10), "cannot-tell cap-possible - 10 individuals"),
    ("6 a blank count of bulk", lot("01", unit="bulk"), cap(10), "cannot-tell cap-possible - 10 individuals"),
    ("6 MaterialSample", lot("01", basisOfRecord="MaterialSample"), cap(10),
     "cannot-tell cap-possible - 10 individuals"),
    ("6 organismQuantity", lot("01", organismQuantity="12.5 g"), cap(10), "cannot-tell cap-possible - 10 individuals"),
    ("6 a filled count of a lot stands", lot("01", "4", unit="lot"), cap(10), "covered"),
    ("6 limit 0", lot("01", "1"), cap(0), "outside cap-breached 0 0 individuals"),
    ("6 limit 0, blank event per event", lot("01", "1"), cap(0, per="event"), "outside cap-breached 0 0 individuals"),
    ("6 a straddling run is possible", [D("2023-04-30/2023-05-01", individualCount="10"), lot("01", "1")], cap(10),
     "straddles straddles 1 2 days | cannot-tell cap-possible 11 10 individuals"),
    ("6 what the paper does not cover does not count", [D("2023-04-01", individualCount="10"), lot("01", "1")],
     cap(10), "outside before-start 30 - days | covered"),
    ("6 the linked specimens only", [lot("01", "10", accessionNumber="A2"), lot("02", "1", accessionNumber="A1")],
     {**cap(10), "covers": {"accessions": ["A1"]}}, "missing not-searched | covered"),
    ("6 per taxon", [lot("01", "10", **AUS), lot("02", "1", **CUS)], cap(10, taxon="Aus bus"), "covered | covered"),
    ("6 per taxon: the genus could be it", [lot("01", "10", **AUS), lot("02", "1", **GENUS)], cap(10, taxon="Aus bus"),
     "covered | cannot-tell cap-possible 11 10 individuals"),
    ("6 each species", [lot("01", "10", **AUS), lot("02", "10", **CUS)], cap(10, each="species"), "covered | covered"),
    ("6 each species: a name above species", [lot("01", "7", **AUS), lot("02", "4", **GENUS)], cap(10, each="species"),
     "covered | cannot-tell cap-possible 11 10 individuals"),
    ("6 each species: possible, 7 to 37", [lot("01", "7", **AUS), lot("01", "30", **GENUS)], cap(10, each="species"),
     "cannot-tell cap-possible 37 10 individuals | cannot-tell cap-possible 37 10 individuals"),
    ("6 each species: unseen", lot("01", "11", **GENUS), cap(10, each="species"),
     "cannot-tell cap-possible 11 10 individuals"),
    ("6 a cap's taxon may carry its kingdom", [lot("01", "10", **BIRD), lot("02", "10", **PLANT)],
     cap(10, taxon={"name": "Oenanthe", "kingdom": "Plantae"}), "covered | covered"),
    ("6 per year", [D("2023-12-31", individualCount="10"), D("2024-01-01", individualCount="1"),
                    D("2024-01-02", individualCount="10")],
     P(in_force_to=None, caps=[{"limit": 10, "each": "together", "per": "year"}]),
     "covered | covered | cannot-tell cap-possible 11 10 individuals"),
    ("6 per year: a run over New Year may be of either",
     [D("2023-12-01", individualCount="10"), D("2023-12-31/2024-01-01", individualCount="1")],
     P(in_force_to=None, caps=[{"limit": 10, "each": "together", "per": "year"}]),
     "covered | cannot-tell cap-possible 11 10 individuals"),
    ("6 per site", [lot("01", "10", siteName="S1"), lot("02", "10", siteName="S2"), lot("03", "1", siteName="s1")],
     cap(10, per="site"), "covered | covered | outside cap-breached 10 10 individuals"),
    ("6 a blank site is possible with all", [lot("01", "10", siteName="S1"), lot("02", "1")], cap(10, per="site"),
     "covered | cannot-tell cap-possible 11 10 individuals"),
    ("6 per event, event numbers match exactly", [lot("01", "10", eventID="e1"), lot("01", "10", eventID="E1")],
     cap(10, per="event"), "covered | covered"),
    ("6 per event together", [lot("01", "6", eventID="e1"), lot("01", "6", eventID="e1")], cap(10, per="event"),
     "cannot-tell cap-possible 12 10 individuals | cannot-tell cap-possible 12 10 individuals"),
    ("6 under whichever version", [D("2023-06-01", individualCount="10"), D("2023-07-02", individualCount="1")],
     P(versions=[V("2023-05-01", "2023-06-30"),
                 V("2023-07-01", "2023-09-30", caps=[{"limit": 10, "each": "together", "per": "paper"}])]),
     "covered | outside cap-breached 10 10 individuals"),
]  # fmt: skip

MAY: dict[str, Any] = {"in_force_from": "2023-05-01", "in_force_to": "2023-05-31"}
JUNE: dict[str, Any] = {"in_force_from": "2023-06-01"}
NOT_NEAR: dict[str, Any] = {"methods": {"include": ["gun"]}}
LAYERS: list[Case] = [
    ("7 none linked: missing, not searched", R(accessionNumber="A2"), P(covers={"accessions": ["A1"]}),
     "missing not-searched"),
    ("7 linked to its accession", R(accessionNumber="A1"), P(covers={"accessions": ["A1"]}), "covered"),
    ("8 accession numbers match exactly", R(accessionNumber="a1"), P(covers={"accessions": ["A1"]}),
     "missing not-searched"),
    ("7 linked to the specimen; every row of a repeated number", [R(), R(catalogNumber="c1"), R()],
     P(covers={"specimens": ["C1"]}), "covered | missing not-searched | covered"),
    ("7 linked to its event", [R(eventID="E1"), R(eventID="e1")], P(covers={"events": ["E1"]}),
     "covered | missing not-searched"),
    ("8 sites match locationID or siteName", [R(siteName=" s1"), R(locationID="S1"), R(locationID="S11")],
     P(covers={"sites": ["S1"]}), "covered | covered | missing not-searched"),
    ("8 what covers does not list is not linked", R(), P(covers={"accessions": []}), "missing not-searched"),
    ("7 in time: valid days joined", D("2023-05-30/2023-06-02"), [P("A", **MAY), P("B", **JUNE)], "covered @A | B"),
    ("7 in time: a hole of another filled", D("2023-06-09/2023-06-12"),
     [P("A", suspensions=[["2023-06-10", "2023-06-10"]]), P("B", in_force_from="2023-06-10", in_force_to="2023-06-10")],
     "covered @A | B"),
    ("7 in time: not even one day may be left", D("2023-05-30/2023-06-02"),
     [P("A", in_force_to="2023-05-30"), P("B", **JUNE)], "straddles straddles 2 4 days"),
    ("7 in time: a vague date", D("2023-05/2023-06"), [P("A", **MAY), P("B", **JUNE)], "covered @A | B"),
    ("7 in time: not by a qualifier", D("2023-06-01?"), [P("A", **MAY), P("B", **JUNE)],
     "cannot-tell date-vague 2 3 days"),
    ("7 in time: every other test must be yes", D("2023-05-30/2023-06-02", samplingProtocol="net"),
     [P("A", **MAY), P("B", **JUNE, **NOT_NEAR)], "straddles straddles 2 4 days"),
    ("7 in time: what can be spared is left out, from the last on", D("2023-05-30/2023-06-02"),
     [P("A", **MAY), P("B", **JUNE), P("C", **JUNE)], "covered @A | B"),
    ("7 in area: joined", at("0.5000", "11.0000"), [P("A"), P("B", places=inc(box(11, 0, 12, 1)))], "covered @A | B"),
    ("7 in area: an exclusion of one, included by another", at("0.6005", coordinateUncertaintyInMeters="200"),
     [P("A", places=inc(HOME, exclude=[box(10.4, 0.4, 10.6, 0.6)])), P("B", places=inc(box(10.3, 0.3, 10.7, 0.601)))],
     "covered @A | B"),
    ("7 in area: outside-area can be joined away", at("0.5000", "10.9900"),
     [P("A", places=inc({**HOME, "boundary_error_m": 5000})), P("B", places=inc(box(11, 0, 12, 1)))],
     "covered @A | B"),
    ("7 in area: excluded-area can be joined away", at("0.5900"),
     [P("A", places=inc(HOME, exclude=[box(10.4, 0.4, 10.6, 0.6)])),
      P("B", places=inc(box(10.4, 0.4, 10.6, 0.6, boundary_error_m=5000)))], "covered @A | B"),
    ("7 never both at once", at("0.5000", "11.0000", eventDate="2023-05-30/2023-06-02"),
     [P("A", **MAY), P("B", **JUNE, places=inc(box(11, 0, 12, 1)))],
     "straddles straddles 2 4 days ; straddles area-edge 0 30 m"),
    ("7 outside if any answer is no", D("2023", samplingProtocol="gun"), P(**NET),
     "outside date-vague 153 365 days ; outside method"),
    ("7 straddles if the only no is a straddling date", at("0.0001", eventDate="2023-04-30/2023-05-01"), P(),
     "straddles straddles 1 2 days ; straddles area-edge -11.1 30 m"),
    ("7 the best result", D("2023-06-12", samplingProtocol="net"), [P("A", **NOT_NEAR), P("B", in_force_from=None)],
     "cannot-tell start-unknown @B"),
    ("7 then fewest answers that are not yes", D("2023-10-02", samplingProtocol="net"), [P("A", **NOT_NEAR), P("B")],
     "outside after-end 2 - days @B"),
    ("7 then smallest miss", D("2023-10-02"), [P("A", **MAY), P("B")], "outside after-end 2 - days @B"),
    ("7 then order in the file", D("2023-10-02"), [P("A"), P("B")], "outside after-end 2 - days @A"),
    ("7 several that cover alone: the first", R(), [P("A"), P("B")], "covered @A"),
    ("7 unread", R(), P(versions=[]), "cannot-tell paper-unread"),
    ("7 an unread paper is better than one outside", D("2022-01-01"), [P("A"), P("B", versions=[])],
     "cannot-tell paper-unread @B"),
    ("8 several layers in one paper, in the order of section 1", R(transferredOn="2023-10-01"),
     other("land", layers=["transfer", "land", "collecting"]),
     "covered /land ; covered /collecting ; outside after-end 1 - days /transfer"),
    ("8 absent or empty lists set no limit", R(), P(taxa={"include": [], "exclude": []}, methods={"include": []},
                                                    caps=[], closed_seasons=[]), "covered"),
]  # fmt: skip

BLANKS: list[Case] = [
    (f"8 {word!r} counts as blank", D(word), P(), "cannot-tell date-missing")
    for word in ("   ", "null", "NULL", "NA", "n/a", "none", "none specified", "unknown", "not recorded",
                 "NO DISPONIBLE", "NO APLICA", "-")
] + [
    ("8 the house list is exact", D("Null"), P(), "cannot-tell date-unreadable"),
    ("8 values are trimmed", D("  2023-06-12 "), P(), "covered"),
    ("8 a blank accession is not named none", R(accessionNumber="none"), P(covers={"accessions": ["none"]}),
     "missing not-searched"),
]  # fmt: skip

CASES = [*DAYS, *VERSIONS, *PLACES, *NAMES, *WORDS, *NUMBERS, *LAYERS, *BLANKS]


def csv_text(rows: Sequence[Row], mark: str = ",") -> str:
    heads = list(dict.fromkeys(head for row in rows for head in row))
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, heads, restval="", delimiter=mark)
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def judged(folder: Path, specimens: bytes, papers: Any, **options: Any) -> list[dict[str, str]]:
    (folder / "specimens.csv").write_bytes(specimens)
    (folder / "papers.json").write_text(json.dumps({"papers": papers}), encoding="utf-8")
    house = options.pop("house", HouseRules())
    check = check_files(folder / "specimens.csv", folder / "papers.json", house=house, **options)
    write_csv(check, folder / "out.csv")
    return list(csv.DictReader(io.StringIO((folder / "out.csv").read_text(encoding="utf-8"), newline="")))


def same(written: str, expected: str, unit: str) -> bool:
    """Metres to 0.5 % or 1 m (VERDICTS, section 4); everything else to the letter."""
    if expected == "*" or written == expected:
        return True
    if unit != "m" or not written or expected == "-":
        return (written or "-") == expected
    return abs(float(written) - float(expected)) <= max(1.0, 0.005 * abs(float(expected)))


def agrees(row: dict[str, str], expected: str) -> bool:
    """One written row against one expected one; "@paper" and "/layer" at its end where they matter."""
    rest, _, paper = expected.partition(" @")
    rest, _, layer = rest.partition(" /")
    verdict, finding, measure, against, unit = (*rest.split(), "-", "-", "-", "-")[:5]
    found = [row["verdict"], row["finding"] or "-", row["unit"] or "-"]
    return (
        found == [verdict, finding, unit]
        and same(row["measure"], measure, unit)
        and same(row["against"], against, unit)
        and paper in ("", row["paper"])
        and layer in ("", row["layer"])
    )


@pytest.mark.parametrize(("rows", "papers", "expected"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_case(tmp_path: Path, rows: Row | list[Row], papers: Paper | list[Paper], expected: str) -> None:
    rows, papers = (x if isinstance(x, list) else [x] for x in (rows, papers))
    written = judged(tmp_path, csv_text(rows).encode(), papers)
    lines = expected.split(" | ") if len(rows) > 1 else [expected]
    wanted = [(str(number), part) for number, line in enumerate(lines, 1) for part in line.split(" ; ")]
    shown = [[r[k] for k in ("row", "verdict", "finding", "measure", "against", "unit", "paper")] for r in written]
    assert [r["row"] for r in written] == [number for number, _ in wanted], shown
    assert all(agrees(row, part) for row, (_, part) in zip(written, wanted, strict=True)), shown


def refused(folder: Path, papers: Any, specimens: bytes = b"catalogNumber\nC1\n") -> str:
    with pytest.raises(FileProblems) as caught:
        judged(folder, specimens, papers)
    return " ".join(map(str, caught.value.problems))


def ring(*positions: tuple[float, float]) -> dict[str, Any]:
    return {"geojson": {"type": "Polygon", "coordinates": [[list(p) for p in positions]]}}


REFUSED: list[tuple[str, Any, list[str]]] = [
    ("8 a key not listed is named, and the nearest", [P() | {"kinds": "x"}], ['"kinds"', '"kind"']),
    ("8 a key not listed in a version", [P(closed_season=[])], ['"closed_season"', '"closed_seasons"']),
    ("8 unknown kind", [P(kind="collecting-permits")], ['"collecting-permits"', '"collecting-permit"']),
    ("8 unknown country code", [P(jurisdiction="CX-")], ['"CX-"']),
    ("8 unknown country code in a place", [P(places=inc({"country": "cr"}))], ['"cr"', '"CR"']),
    ("8 unknown subdivision", [P(places=inc({"subdivision": "CR-AA"}))], ['"CR-AA"', '"CR-A"']),
    ("8 reference unique in the file", [P(), P()], ['"P1"']),
    ("8 layers of section 1", [P(layers=["colecting"])], ['"colecting"', '"collecting"']),
    ("3 two versions with one start day", [P(versions=[V("2023-05-01", None), V("2023-05-01", "2024-01-01")])],
     ["2023-05-01"]),
    ("4 a ring that is not closed", [P(places=inc(ring((0, 0), (1, 0), (1, 1), (0, 1))))], ["ring 1", "closed"]),
    ("4 a ring that crosses itself", [P(places=inc(ring((0, 0), (1, 1), (1, 0), (0, 1), (0, 0))))],
     ["ring 1", "crosses"]),
    ("4 a ring that leaves -180..180", [P(places=inc(box(170, 0, 190, 1)))], ["ring 1", "190"]),
    ("4 a ring with an edge over 180 degrees", [P(places=inc(box(-180, 60, 180, 90)))], ["ring 1", "180"]),
]  # fmt: skip


@pytest.mark.parametrize(("papers", "words"), [c[1:] for c in REFUSED], ids=[c[0] for c in REFUSED])
def test_refused(tmp_path: Path, papers: Any, words: list[str]) -> None:
    told = refused(tmp_path, papers)
    assert all(word in told for word in words), told


def test_duplicate_key_is_named(tmp_path: Path) -> None:
    """VERDICTS, section 8: a duplicate key is an error that names it."""
    (tmp_path / "s.csv").write_text("catalogNumber\nC1\n", encoding="utf-8")
    (tmp_path / "p.json").write_text('{"papers": [{"reference": "A", "reference": "B"}]}', encoding="utf-8")
    with pytest.raises(FileProblems) as caught:
        check_files(tmp_path / "s.csv", tmp_path / "p.json", house=HouseRules())
    assert "reference" in str(caught.value.problems[0])


@pytest.mark.parametrize(
    "specimens",
    [
        b"\xef\xbb\xbf" + csv_text([R()]).encode(),
        csv_text([R()], ";").encode(),
        csv_text([R()], "\t").encode(),
        csv_text([R()]).replace("\r\n", "\n\n").encode(),
        csv_text([R()]).encode("utf-16"),
    ],
    ids=["byte order mark", "semicolons", "tabs", "blank lines are not rows", "UTF-16"],
)
def test_forms_of_one_file(tmp_path: Path, specimens: bytes) -> None:
    written = judged(tmp_path, specimens, [P()])
    assert [(r["row"], r["catalogNumber"], r["verdict"], r["finding"]) for r in written] == [("1", "C1", "covered", "")]


def test_header_of_verdicts_out(tmp_path: Path) -> None:
    """VERDICTS, section 8; no papers and no required layer: header only."""
    assert judged(tmp_path, csv_text([R()]).encode(), []) == []
    assert (tmp_path / "out.csv").read_text(encoding="utf-8").strip() == (
        "row,catalogNumber,layer,verdict,paper,version_from,finding,measure,against,unit,sentence"
    )


def test_required_layers_are_those_named(tmp_path: Path) -> None:
    """VERDICTS, section 8: with --require, those it names, in the order of section 1."""
    written = judged(tmp_path, csv_text([R()]).encode(), [P()], require=[Layer.COLLECTING, Layer.LAND])
    assert [(r["layer"], r["verdict"], r["finding"]) for r in written] == [
        ("land", "missing", "not-searched"), ("collecting", "covered", ""),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("row", "paper", "expected"),
    [
        (R(coordinateUncertaintyInMeters=""), P(), "cannot-tell radius-unknown"),
        (R(coordinateUncertaintyInMeters="", **FOOT), P(), "covered"),
        (R(coordinateUncertaintyInMeters=""), P(places=inc(HOME, exclude=[HOME])), "cannot-tell radius-unknown"),
        (R(), P(), "covered"),
    ],
    ids=["on a disc", "not on a footprint", "before what follows", "a stated radius"],
)
def test_house_rule_none(tmp_path: Path, row: Row, paper: Paper, expected: str) -> None:
    """VERDICTS, section 4: with the house rule set to none the answer is unknown (``radius-unknown``)."""
    written = judged(tmp_path, csv_text([row]).encode(), [paper], house=HouseRules(assumed_radius_m=None))
    assert len(written) == 1 and agrees(written[0], expected), written


def test_a_paper_without_links_is_named_once(tmp_path: Path) -> None:
    (tmp_path / "s.csv").write_text(csv_text([R(), R()]), encoding="utf-8")
    papers = {"papers": [{k: v for k, v in P("LONELY").items() if k != "covers"}]}
    (tmp_path / "p.json").write_text(json.dumps(papers), encoding="utf-8")
    check = check_files(tmp_path / "s.csv", tmp_path / "p.json", house=HouseRules())
    assert sum("LONELY" in str(warning) for warning in check.warnings) == 1
    assert sum("catalogNumber" in str(warning) for warning in check.warnings) == 1  # repeated: a warning, both judged
