"""Awkward geometries, positions, dates, names and cells that every function should meet.

And the published check values. Nothing here is a test: the tests run their functions over it, and the name of each
creature says why it is kept.
"""

from __future__ import annotations

import csv
import io
import math
from pathlib import Path
from typing import Any

DATA = Path(__file__).parents[1] / "data"


def check_values() -> dict[str, dict[str, str]]:
    """Rows of geo_check_values.csv by their number; each names its source."""
    text = (DATA / "geo_check_values.csv").read_text(encoding="utf-8")
    return {row["id"]: row for row in csv.DictReader(io.StringIO(text, newline=""))}


SHAPES: dict[str, str] = {
    "box of the Darwin Core example": "POLYGON ((10 20, 11 20, 11 21, 10 21, 10 20))",
    "clockwise": "POLYGON ((10 20, 10 21, 11 21, 11 20, 10 20))",
    "with a hole": "POLYGON ((0 0, 4 0, 4 4, 0 4, 0 0), (1 1, 1 3, 3 3, 3 1, 1 1))",
    "island in a hole": (
        "MULTIPOLYGON (((0 0, 4 0, 4 4, 0 4, 0 0), (1 1, 1 3, 3 3, 3 1, 1 1)), ((2 2, 2.1 2, 2 2.1, 2 2)))"
    ),
    "two parts that meet in a corner": "MULTIPOLYGON (((0 0, 1 0, 1 1, 0 1, 0 0)), ((1 1, 2 1, 2 2, 1 2, 1 1)))",
    "across the antimeridian": "box 177 -20 -178 -16",
    "one side of the antimeridian": "box 177 -20 180 -16",
    "north polar cap": "box -180 80 180 90",
    "south polar cap": "box -180 -90 180 -85",
    "the whole globe": "box -180 -90 180 90",
    "a band about the globe": "box -180 -10 180 10",
    "sliver of a metre": "POLYGON ((10 20, 11 20, 11 20.00001, 10 20.00001, 10 20))",
    "smaller than a metre": "POLYGON ((10 20, 10.000005 20, 10.000005 20.000005, 10 20))",
    "edges of 60 degrees": "POLYGON ((-30 0, 30 0, 30 50, -30 50, -30 0))",
    "a spike": "POLYGON ((0 0, 1 0, 0.5 0.01, 0.5 5, 0.49 0.01, 0 0))",
    "doubled vertices": "POLYGON ((0 0, 0 0, 1 0, 1 0, 1 1, 0 1, 0 1, 0 0))",
    "vertices on a straight edge": "POLYGON ((0 0, 0.25 0, 0.5 0, 1 0, 1 1, 0 1, 0 0))",
}
"""Areas in the notation of ``tests.factories.engine.a_shape``."""

POSITIONS: dict[str, tuple[float, float]] = {
    "equator at Greenwich, nearly": (0.0001, 0.0001),
    "antimeridian from the east": (180.0, -17.0),
    "antimeridian from the west": (-180.0, -17.0),
    "a hair west of it": (179.9999999, -17.0),
    "north pole": (0.0, 90.0),
    "north pole by another longitude": (123.0, 90.0),
    "south pole": (-45.0, -90.0),
    "a hair from the pole": (10.0, 89.9999999),
    "on an edge": (10.0, 20.5),
    "on a corner": (10.0, 20.0),
    "just inside": (10.000000001, 20.5),
    "just outside": (9.999999999, 20.5),
    "in the hole": (2.5, 2.5),
    "in the island": (2.01, 2.01),
    "far away": (-120.0, -45.0),
    "antipode of the box": (-169.5, -20.5),
}
"""Longitude and latitude, in degrees."""

RADII_M: tuple[float, ...] = (0.001, 30.0, 1000.0, 50_000.0, 20_037_509.0, math.nan)
"""A millimetre to half the equator; NaN is unknown."""

DATES: dict[str, str] = {
    "a day": "2023-05-01",
    "leap day": "2024-02-29",
    "day before the leap day": "2024-02-28",
    "day after it": "2024-03-01",
    "a run of two days": "2023-05-01/2023-05-02",
    "over the new year": "2023-12-31/2024-01-01",
    "of two centuries": "1800-01-01/2017-07-01",
    "a month": "2023-02",
    "a year": "2024",
    "open end": "2023-05-01/..",
    "open start": "../2023-05-01",
    "doubted day": "2023-05-01?",
    "doubted year": "2023~",
    "first day that Python knows, nearly": "0001-01-02",
    "last day that it knows, nearly": "9999-12-30",
    "missing": "",
    "unreadable": "illegible",
    "in conflict": "conflict",
}
"""In the notation of ``tests.factories.engine.a_date``."""

LINEAGES: dict[str, str] = {
    "nothing": "",
    "a kingdom": "Animalia",
    "an order": "Animalia>Odonata",
    "a family without its order": "Animalia>Libellulidae",
    "a species without anything above": "Sympetrum striolatum",
    "a subspecies": "Animalia>Odonata>Libellulidae>Sympetrum>Sympetrum striolatum>Sympetrum striolatum imitoides",
    "a bird": "Animalia>Passeriformes>Muscicapidae>Oenanthe",
    "a plant of the same name": "Plantae>Apiales>Apiaceae>Oenanthe",
    "the name alone": "genus:Oenanthe",
    "a name of no known rank": "Animalia>?:Anisoptera",
}
"""In the notation of ``tests.factories.engine.a_lineage``. Oenanthe is a genus of birds and one of plants."""

COUNTS: tuple[Any, ...] = (0, 1, 10**12, (0, 1), (300, 500), (1, None), "many", None)

CELLS: dict[str, str] = {
    "a formula": '=HYPERLINK("x","y")',
    "a formula by plus": "+1+1",
    "a formula by at": "@SUM(A1)",
    "a negative number": "-41.0983",
    "a separator": "a,b",
    "a quotation mark": 'say "no"',
    "two lines": "one\ntwo",
    "another script": "標本 образец عينة",
    "combining marks": "Muséum",
    "an emoji": "🦋",
    "zero width": "a\u200bb",
    "leading zeros": "00417",
    "a control character": "a\x07b",
    "a long one": "x" * 5000,
}
"""Texts of a cell, as a catalogue number could be."""
