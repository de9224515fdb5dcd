"""Small files of specimens and papers, and what a run of the command leaves."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

FIXTURES = Path(__file__).parents[2] / "fixtures"
SPECIMENS, PAPERS = FIXTURES / "lindmark_specimens.csv", FIXTURES / "lindmark_papers.json"
HEADER = (
    "row", "catalogNumber", "layer", "verdict", "paper", "version_from", "finding", "measure", "against", "unit",
    "sentence",
)  # fmt: skip
"""VERDICTS, section 8, to the letter."""

SQUARE = [[[10.0, 20.0], [11.0, 20.0], [11.0, 21.0], [10.0, 21.0], [10.0, 20.0]]]


@dataclass(frozen=True)
class Run:
    """What a run left: its exit status, what it said on stdout and stderr, and where it should have written."""

    status: int
    said: str
    told: str
    out: Path

    @property
    def rows(self) -> list[dict[str, str]]:
        return read_rows(self.out)


def read_rows(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(path.read_bytes().decode("utf-8"), newline="")))


def a_paper(**changes: Any) -> dict[str, Any]:
    """A paper over a square of one degree in May to September 2023, linked to everything."""
    version = {
        "in_force_from": "2023-05-01",
        "in_force_to": "2023-09-30",
        "places": {"include": [{"geojson": {"type": "Polygon", "coordinates": SQUARE}}]},
    }
    paper = {
        "reference": "COL-1",
        "kind": "collecting-permit",
        "layers": ["collecting"],
        "versions": [{**version, **changes.pop("version", {})}],
        "covers": {"accessions": ["*"]},
    }
    return {**paper, **changes}


def a_row(**changes: str) -> dict[str, str]:
    """A specimen in the middle of the square, inside the permit's days."""
    row = {
        "catalogNumber": "X-1",
        "eventDate": "2023-06-01",
        "decimalLatitude": "20.5000",
        "decimalLongitude": "10.5000",
        "geodeticDatum": "EPSG:4326",
        "coordinateUncertaintyInMeters": "30",
        "scientificName": "Sympetrum striolatum",
    }
    return {**row, **changes}


def write_rows(path: Path, rows: Sequence[dict[str, str]], delimiter: str = ",", encoding: str = "utf-8") -> Path:
    with path.open("w", encoding=encoding, newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), delimiter=delimiter)
        writer.writeheader()
        writer.writerows(rows)
    return path


def write_papers(path: Path, papers: Sequence[dict[str, Any]]) -> Path:
    path.write_text(json.dumps({"papers": list(papers)}), encoding="utf-8")
    return path


Checked = Callable[..., Run]
"""The fixture ``checked``: specimens, papers, options, out -> what the run left."""
