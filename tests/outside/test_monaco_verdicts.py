"""The whole path on 7,929 records that nobody here wrote: archive and papers in, verdicts out.

monaco_papers.json is invented; it says nothing of Monaco's law. monaco_expected.csv pins how many specimens each
layer gives each finding. Fourteen rows were read beside their records before it was kept, some of their measures by
hand arithmetic, among them: row 4390 lies 0.000201 degrees, 22.3 m, south of the polygon's edge at 43.728; row 594
(2023-03-25) is 25 days after 28 February, the last day before the closed season; row 6728 (1953) ends 22,646 days
before 2016-01-01; row 476 lies 58 m from the centre of the excluded circle of 150 m. The recounts below use neither
our readers nor the engine.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from contextlib import redirect_stderr
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from geographiclib.geodesic import Geodesic

pytestmark = pytest.mark.network

HERE = Path(__file__).parent
PROJECT = HERE.parents[1]
Found = list[dict[str, str]]


@pytest.fixture(scope="module")
def checked(monaco_archive: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Found, str]:
    """What the command wrote into the file, and what it said."""
    out, said = tmp_path_factory.mktemp("verdicts") / "verdicts.csv", StringIO()
    with redirect_stderr(said), pytest.MonkeyPatch.context() as patch:
        patch.setenv("COLUMNS", "120")
        call_command("check_files", monaco_archive, papers=HERE / "monaco_papers.json", out=out)
    with out.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file)), said.getvalue()


@pytest.fixture(scope="module")
def found(checked: tuple[Found, str]) -> Found:
    return checked[0]


def test_the_readme_shows_what_the_command_says(checked: tuple[Found, str]) -> None:
    """Its numbers and sentences, on a console wide enough; the example that ends a sentence is left out there."""
    readme = (PROJECT / "README.md").read_text("utf-8")
    shown = re.search(r"^```\nSpecimens by layer and verdict.*?^```", readme, re.MULTILINE | re.DOTALL)
    assert shown
    said = re.sub(r"\s+", " ", checked[1])
    lines = [line.strip(" ─`") for line in shown[0].splitlines()]
    assert len(lines) > 12
    assert [line for line in lines if re.sub(r"\s+", " ", line.removeprefix("- ")) not in said] == []


@pytest.fixture(scope="module")
def records(monaco_folder: Path) -> list[dict[str, str]]:
    header, *lines = (monaco_folder / "occurrence.txt").read_text(encoding="utf-8").split("\n")
    return [dict(zip(header.split("\t"), line.split("\t"), strict=True)) for line in lines if line]


def _rows(found: Found, layer: str, *codes: str) -> set[int]:
    return {int(row["row"]) for row in found if row["layer"] == layer and row["finding"] in codes}


def test_every_specimen_has_every_layer_once(found: Found) -> None:
    verdicts = {(row["row"], row["layer"], row["verdict"]) for row in found}
    assert len(verdicts) == 7929 * 5
    assert Counter((layer, verdict) for _, layer, verdict in verdicts) == {
        ("collecting", "covered"): 1431,
        ("collecting", "cannot-tell"): 1348,
        ("collecting", "straddles"): 1,
        ("collecting", "outside"): 5149,
        ("species", "covered"): 3933,
        ("species", "cannot-tell"): 1917,
        ("species", "straddles"): 1,
        ("species", "outside"): 2078,
        ("protected-site", "covered"): 595,
        ("protected-site", "cannot-tell"): 2597,
        ("protected-site", "straddles"): 54,
        ("protected-site", "outside"): 4683,
        ("access", "cannot-tell"): 5254,
        ("access", "straddles"): 12,
        ("access", "outside"): 2663,
        ("export", "cannot-tell"): 7929,  # no record says on which day it left
    }


def test_findings_are_those_that_were_looked_at(found: Found) -> None:
    with (HERE / "monaco_expected.csv").open(encoding="utf-8", newline="") as file:
        expected = {(r["layer"], r["verdict"], r["finding"]): int(r["specimens"]) for r in csv.DictReader(file)}
    assert Counter((row["layer"], row["verdict"], row["finding"]) for row in found) == expected


def _ends(text: str) -> tuple[str, str]:
    """First and last day of an interpreted date as YYYY-MM-DD; day 31 stands in for the end of any month."""
    start, _, end = text.partition("/")
    return _padded(start, "-01-01"), _padded(end or start, "-12-31")


def _padded(text: str, rest: str) -> str:
    day = text.partition("T")[0]
    return day + rest[len(day) - 4 :]


def test_dates_outside_the_permit_are_recounted(found: Found, records: list[dict[str, str]]) -> None:
    """Text of ISO dates sorts as its days do. Dates in UTC lie a day or more from the ends, 2020-03-16/17 apart."""
    before, after = set(), set()
    for number, record in enumerate(records, 1):
        if record["eventDate"]:
            first, last = _ends(record["eventDate"])
            before |= {number} if last < "2016-01-01" else set()
            after |= {number} if first > "2023-12-31" else set()
    conflicts = {310, 831, 958}  # verbatimEventDate gives another month
    assert len(before) > 3000
    assert _rows(found, "collecting", "before-start") == before - conflicts
    assert _rows(found, "collecting", "after-end") == after


def test_missing_dates_are_recounted(found: Found, records: list[dict[str, str]]) -> None:
    blank = {number for number, record in enumerate(records, 1) if not record["eventDate"]}
    assert len(blank) == 581
    assert _rows(found, "access", "date-missing") == blank


def test_points_far_from_the_circle_are_recounted(found: Found, records: list[dict[str, str]]) -> None:
    """Within 20 km of a point (INV-SPC-1961), measured with geographiclib; only records with a stated radius."""
    apart, edge = set(), set()
    for number, record in enumerate(records, 1):
        radius, latitude, longitude = (
            float(record[c] or 0) for c in ("coordinateUncertaintyInMeters", "decimalLatitude", "decimalLongitude")
        )
        if radius and (latitude or longitude) and not record["informationWithheld"] + record["dataGeneralizations"]:
            metres = Geodesic.WGS84.Inverse(43.7384, 7.4246, latitude, longitude)["s12"] - 20_000
            apart |= {number} if metres > radius else set()
            edge |= {number} if abs(metres) <= radius else set()
    tested = {int(r["row"]) for r in found if r["layer"] == "species" and r["paper"] == "INV-SPC-1961"}
    footprints = {number for number, record in enumerate(records, 1) if record["footprintWKT"]}
    left_out = _rows(found, "species", "country-mismatch") | footprints
    stated = {n for n, r in enumerate(records, 1) if r["coordinateUncertaintyInMeters"]} - left_out
    assert len(apart & tested) > 20
    assert (_rows(found, "species", "outside-area") & stated & tested) == (apart & tested) - left_out
    assert (edge & tested) - left_out <= _rows(found, "species", "area-edge")


def test_withheld_places_are_neither_yes_nor_no(found: Found, records: list[dict[str, str]]) -> None:
    withheld = {
        number
        for number, r in enumerate(records, 1)
        if r["informationWithheld"] + r["dataGeneralizations"] and float(r["decimalLatitude"] or 0)
    }
    assert len(withheld) > 50
    assert _rows(found, "access", "coordinates-generalized") == withheld


def test_zero_coordinates_are_no_place(found: Found, records: list[dict[str, str]]) -> None:
    """18 records stand at 0,0; the country in their row is all that is known of their place."""
    zero = {n for n, r in enumerate(records, 1) if r["decimalLatitude"] == r["decimalLongitude"] == "0.0"}
    assert len(zero) == 18
    placed = ("outside-area", "area-edge", "country-mismatch", "at-sea")
    assert zero & _rows(found, "access", *placed) == set()
