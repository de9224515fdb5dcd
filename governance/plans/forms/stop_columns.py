"""Which column of a table of stops is which, by plain words or Darwin Core terms.

Source of the terms: Darwin Core quick reference guide (TDWG). The plain words are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.intake.columns import header_key
from accessions.intake.problems import Problem, shown
from accessions.intake.terms import EVERYDAY


@dataclass(frozen=True)
class Meaning:
    """label: as messages name it. words: headers that mean it, as ``header_key`` makes them."""

    label: Promise
    words: tuple[str, ...]


def _of(term: str) -> tuple[str, ...]:
    return (term.casefold(), *EVERYDAY.get(term, ()))


MEANINGS: Final[dict[str, Meaning]] = {
    "name": Meaning(_("Stop"), ("stop", "name", "stopname", "locality", "place", "placename", "where", "station",
                                "waypoint")),
    "site": Meaning(_("Registered site"), ("registeredsite", "sitename", "samplingsite", *_of("locationID"), "site")),
    "country": Meaning(_("Country"), ("country", *_of("countryCode"))),
    "latitude": Meaning(_("Latitude"), ("verbatimlatitude", *_of("decimalLatitude"))),
    "longitude": Meaning(_("Longitude"), ("verbatimlongitude", *_of("decimalLongitude"))),
    "position": Meaning(_("Coordinates"), ("coordinates", "verbatimcoordinates", "position", "point", "latlon",
                                           "latlong", "latitudelongitude", "utm", "mgrs")),
    "radius": Meaning(_("Radius"), _of("coordinateUncertaintyInMeters")),
    "area": Meaning(_("Area"), ("area", "footprintwkt", "wkt", "geojson", "polygon")),
    "first": Meaning(_("First day"), ("firstday", "first", "firston", "from", "fromdate", "datefrom", "start",
                                      "startdate", "startday", "begin", "begins", "arrival", "arrive")),
    "last": Meaning(_("Last day"), ("lastday", "last", "laston", "to", "todate", "dateto", "until", "end", "enddate",
                                    "endday", "ends", "departure", "leave")),
    "days": Meaning(_("Days"), ("days", "dates", "period", *_of("eventDate"))),
    "methods": Meaning(_("Methods"), ("methods", "samplingprotocol", "method", "collectingmethod",
                                      "collectionmethod", "samplingmethod", "gear", "how")),
    "people": Meaning(_("People"), ("people", "team", "persons", "who", *_of("recordedBy"))),
    "groups": Meaning(_("Groups"), ("groups", "group", "targets", "targetgroups", "targetgroup", "target", "taxa",
                                    *_of("scientificName"))),
    "kingdom": Meaning(_("Kingdom"), ("kingdom", "kingdoms")),
    "rank": Meaning(_("Rank"), ("rank", "ranks", *_of("taxonRank"))),
    "higher": Meaning(_("Belongs to"), ("belongsto", "highernames", "highertaxa", *_of("higherClassification"))),
    "expected": Meaning(_("Expected"), ("expected", "expectednumber", "expectednumbers", "number", "numbers", "howmany",
                                        "countrange", *_of("individualCount"))),
    "traps": Meaning(_("Traps"), ("traps", "trap", "standingtraps")),
    "remarks": Meaning(_("Remarks"), ("remarks", "remark", "notes", "note", "eventremarks", "locationremarks")),
}  # fmt: skip


@dataclass(frozen=True)
class Columns:
    """of: by meaning the number of its column. left_out: headers that mean nothing here."""

    of: dict[str, int]
    left_out: tuple[str, ...]
    problems: tuple[Problem, ...]


def columns_of(headers: Sequence[str], file: str) -> Columns:
    """The meaning of each header. Two columns of one meaning, or none that names a stop, are problems."""
    found: dict[str, list[int]] = {}
    left_out = []
    for number, header in enumerate(headers):
        meaning = _MEANING_OF_WORD.get(header_key(header))
        if meaning:
            found.setdefault(meaning, []).append(number)
        elif header.strip():
            left_out.append(header.strip())
    problems = [_twice(file, meaning, [headers[n] for n in numbers]) for meaning, numbers in found.items()
                if len(numbers) > 1]  # fmt: skip
    if "name" not in found and "site" not in found:
        problems.append(Problem(
            file, _t("first row"), _t("no column names the stops"),
            _t("Give the first row headers such as stop, site, latitude, longitude, radius, first day, last day, "
               "methods, people, groups, expected, traps; or their Darwin Core terms."),
        ))  # fmt: skip
    return Columns({meaning: numbers[0] for meaning, numbers in found.items()}, tuple(left_out), tuple(problems))


def _twice(file: str, meaning: str, headers: Sequence[str]) -> Problem:
    told = _t("%(headers)s all mean: %(meaning)s") % {
        "headers": ", ".join(map(shown, headers)), "meaning": MEANINGS[meaning].label,
    }  # fmt: skip
    return Problem(file, _t("first row"), told, _t("Keep one of them, and give the others another header."))


_MEANING_OF_WORD: Final = {word: meaning for meaning, told in MEANINGS.items() for word in told.words}
