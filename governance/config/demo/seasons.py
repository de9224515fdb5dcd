"""The seasons of the invented museum: compact lines of a hand-written file become sampling events and specimens.

The same every time: counts, sexes and the order of names come from a seeded series of chances.
"""

from __future__ import annotations

import csv
import random
import shlex
from collections.abc import Iterator
from datetime import timedelta
from itertools import groupby
from pathlib import Path
from typing import Any

import yaml

Row = dict[str, Any]

SEED = 20261125
"""Any number will do."""

_RANKS = ("kingdom", "phylum", "class", "order", "family", "genus")
_SITE_COLUMNS = ("siteName", "country", "countryCode", "stateProvince", "decimalLatitude", "decimalLongitude")
_SEXES_AND_STAGES = (("male", "adult"), ("female", "adult"), ("", "adult"), ("", "larva"))
_COUNTS = (1, 1, 1, 2, 2, 3, 4, 6)
_LOT_EVERY = 23
"""Every so many rows one is a lot with a range instead of a count: sorting leaves some."""


class Seasons:
    """The file of seasons, with the sites of the hand-written specimens beside its own."""

    def __init__(self, folder: Path) -> None:
        self.source: Row = yaml.safe_load((folder / "lindmark_seasons.yaml").read_text("utf-8"))
        core: Row = yaml.safe_load((folder / "lindmark_source.yaml").read_text("utf-8"))
        self.sites: Row = core["sites"] | self.source["sites"]

    @property
    def total(self) -> int:
        """Specimens of all seasons."""
        return sum(series["total"] for series in self.source["series"])

    def by_accession(self) -> Iterator[tuple[str, list[Row]]]:
        """The rows of each accession, numbered, in the order of the file."""
        chance = random.Random(SEED)
        for accession, lines in groupby(self.source["series"], key=lambda series: series["accession"]):
            rows = [row for series in lines for row in self._rows(series, chance)]
            first = self.source["accessions"][accession]["first"]
            for number, row in enumerate(rows, first):
                row["catalogNumber"] = f"LMN-FW-{number:07d}"
            yield accession, rows

    def _rows(self, series: Row, chance: random.Random) -> Iterator[Row]:
        names = [name for group in series["groups"] for name in self._names(group)]
        events = self._events(series)
        for number in range(series["total"]):
            event = events[number * len(events) // series["total"]]
            yield event | names[number % len(names)] | _one(series, number, chance)

    def _names(self, group: str) -> list[Row]:
        found = []
        for line in self.source["groups"][group]:
            higher, *listed = [part.strip() for part in line.split("|")]
            found += [_name_columns(shlex.split(higher), name) for name in listed]
        return found

    def _events(self, series: Row) -> list[Row]:
        """The events of a series, day by day and site by site; their columns are the same for all their specimens."""
        dates = [series["date"]] if "date" in series else [_date(series, n) for n in range(series["times"])]
        events: list[Row] = []
        for date in dates:
            for site in series["sites"]:
                number = f"{series['prefix']}-{len(events) + 1:02d}" if series["prefix"] else ""
                events.append(self._event(series, site, date, number, len(events)))
        return events

    def _event(self, series: Row, site: str, date: str, number: str, place: int) -> Row:
        own: Row = self.source["accessions"][series["accession"]]["row"] | series.get("row", {})
        return {
            "institutionCode": "LMN", "collectionCode": "FW", "basisOfRecord": "PreservedSpecimen",
            "accessionNumber": series["accession"], "eventID": number, "eventDate": date, "locationID": site,
            "samplingProtocol": series["method"], "geodeticDatum": "WGS84",
            "coordinateUncertaintyInMeters": series["radii"][place % len(series["radii"])],
        } | dict(zip(_SITE_COLUMNS, self.sites[site], strict=True)) | own  # fmt: skip


def _date(series: Row, number: int) -> str:
    """The date of the n-th visit: a day, or the run of days on which the trap stood."""
    first = series["start"] + timedelta(days=number * series["every"])
    last = first + timedelta(days=series.get("run", 1) - 1)
    return str(first) if first == last else f"{first}/{last}"


def _one(series: Row, number: int, chance: random.Random) -> Row:
    """What differs between the specimens of an event."""
    sex, stage = chance.choice(_SEXES_AND_STAGES)
    if series.get("single"):
        return {"individualCount": 1, "unit": "specimen", "sex": sex, "lifeStage": stage}
    if number % _LOT_EVERY == _LOT_EVERY - 1:
        low = 10 * chance.randint(1, 4)
        return {"countRange": f"{low}-{2 * low}", "unit": "lot"}
    return {"individualCount": chance.choice(_COUNTS), "unit": "specimen", "sex": sex, "lifeStage": stage}


def _name_columns(higher: list[str], name: str) -> Row:
    genus = name.split()[0]
    written = f"{name} sp." if name == genus else name
    return dict(zip(_RANKS, [*higher, genus], strict=True)) | {"scientificName": written}


def write_rows(rows: list[Row], path: Path) -> None:
    """Write rows as CSV, with the columns that any of them fills."""
    columns = list(dict.fromkeys(["catalogNumber", *(column for row in rows for column in row)]))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, columns, restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
