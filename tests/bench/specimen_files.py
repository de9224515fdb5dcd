"""Writes a generated world as the files of ``check_files``: 25 columns of specimens, and the papers as JSON."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np
import shapely

from .generate import reference_of, written_date
from .world import COUNTRY, FAMILY, GENUS, NO_END, ORDER, World

COLUMNS = (
    "catalogNumber", "accessionNumber", "basisOfRecord", "eventID", "eventDate", "recordedBy", "countryCode",
    "stateProvince", "locality", "decimalLatitude", "decimalLongitude", "geodeticDatum",
    "coordinateUncertaintyInMeters", "kingdom", "phylum", "class", "order", "family", "genus", "scientificName", "sex",
    "lifeStage", "individualCount", "samplingProtocol", "occurrenceRemarks",
)  # fmt: skip
"""25 Darwin Core terms (accessionNumber is the project's own)."""

PEOPLE = ("Ekdal, Tuva", "Ekdal, Tuva | Norrby, Joar", "Norrby, Joar", "Sandberg, Liv | Ekdal, Tuva")
SEXES, STAGES = ("female", "male", ""), ("adult", "larva", "adult", "")
METHODS = ("hand net", "Malaise trap", "pitfall trap", "light trap")


def rows(world: World) -> Iterator[tuple[str, ...]]:
    """One tuple of text a specimen, in the order of ``COLUMNS``."""
    events, names = _event_cells(world), [*world.taxon_name, ""]
    for number, (event, taxon) in enumerate(zip(world.specimen_event, world.specimen_taxon, strict=True)):
        path = world.taxon_path[taxon]
        yield (
            f"LM-{number + 1:08d}", f"ACC-{world.specimen_accession[number] + 1:03d}", "PreservedSpecimen",
            *events[event], "Animalia", "Arthropoda", "Insecta",
            names[path[ORDER]], names[path[FAMILY]], names[path[GENUS]], names[taxon],
            SEXES[number % 3], STAGES[number % 4], str(1 + number % 3), METHODS[event % 4],
            f"drawer {number // 500 + 1}, pinned",
        )  # fmt: skip


def _event_cells(world: World) -> list[tuple[str, ...]]:
    """The cells that all specimens of an event share, eventID to coordinateUncertaintyInMeters."""
    cells = []
    for event in range(len(world.event_earliest)):
        written = written_date(
            int(world.event_earliest[event]), int(world.event_latest[event]), int(world.event_reading[event])
        )
        latitude, longitude = world.event_latitude_deg[event], world.event_longitude_deg[event]
        nowhere, radius = np.isnan(latitude), world.event_radius_m[event]
        cells.append((
            f"EV-{event + 1:05d}", written, PEOPLE[event % 4], COUNTRY, "", f"plot {event + 1}, bank of the stream",
            "" if nowhere else str(latitude), "" if nowhere else str(longitude),
            "WGS84" if world.event_datum_known[event] else "", "" if np.isnan(radius) else str(int(radius)),
        ))  # fmt: skip
    return cells


def write_csv(world: World, path: Path) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        writer.writerows(rows(world))


def write_xlsx(world: World, path: Path) -> None:
    """All cells as text but coordinates, radius and count, which a spreadsheet holds as numbers."""
    from openpyxl import Workbook

    numbers = [COLUMNS.index(name) for name in
               ("decimalLatitude", "decimalLongitude", "coordinateUncertaintyInMeters", "individualCount")]  # fmt: skip
    book = Workbook(write_only=True)
    sheet = book.create_sheet("specimens")
    sheet.append(COLUMNS)
    for row in rows(world):
        cells: list[str | float | None] = [cell or None for cell in row]
        for column in numbers:
            cells[column] = float(row[column]) if row[column] else None
        sheet.append(cells)
    book.save(path)


def write_papers(world: World, path: Path) -> None:
    """The papers in the exchange form of the contract, section 8."""
    papers = [_paper(world, number) for number in range(len(world.paper_shape))]
    path.write_text(json.dumps({"papers": papers}, ensure_ascii=False), encoding="utf-8")


def _paper(world: World, number: int) -> dict[str, object]:
    to_day = int(world.paper_to_day[number])
    area = shapely.orient_polygons(world.paper_shape[number])
    version = {
        "in_force_from": date.fromordinal(int(world.paper_from_day[number])).isoformat(),
        "in_force_to": None if to_day == NO_END else date.fromordinal(to_day).isoformat(),
        "places": {"include": [{"geojson": shapely.geometry.mapping(area)}]},
        "taxa": {"include": [world.taxon_name[t] for t in world.paper_include[number]],
                 "exclude": [world.taxon_name[t] for t in world.paper_exclude[number]]},
    }  # fmt: skip
    return {
        "reference": reference_of(number), "kind": "collecting-permit", "layers": ["collecting"],
        "issuer": "Invented Board of Nature", "jurisdiction": COUNTRY, "holder": "Lindmark Museum of Natural History",
        "versions": [version], "covers": {"accessions": ["*"]},
    }  # fmt: skip
