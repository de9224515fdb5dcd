"""What a check says in short: counts that add up, and findings that are the reason of their verdict."""

from __future__ import annotations

import csv
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from governance.engine import HouseRules
from governance.verdicts.check import Check, check_files
from governance.verdicts.summary import layer_counts, main_findings

SQUARE = [[[10.0, 20.0], [11.0, 20.0], [11.0, 21.0], [10.0, 21.0], [10.0, 20.0]]]


@pytest.fixture
def checked(tmp_path: Path) -> Any:
    def check(rows: Sequence[dict[str, str]], **version: Any) -> Check:
        with (tmp_path / "a.csv").open("w", newline="") as file:
            writer = csv.DictWriter(file, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)
        places = {"include": [{"geojson": {"type": "Polygon", "coordinates": SQUARE}}]}
        season = {"in_force_from": "2023-05-01", "in_force_to": "2023-09-30", "places": places, **version}
        paper = {
            "reference": "COL-1",
            "kind": "collecting-permit",
            "layers": ["collecting"],
            "versions": [season],
            "covers": {"accessions": ["*"]},
        }
        (tmp_path / "p.json").write_text(json.dumps({"papers": [paper]}))
        return check_files(tmp_path / "a.csv", tmp_path / "p.json", house=HouseRules())

    return check


def row(number: str, **changes: str) -> dict[str, str]:
    base = {"catalogNumber": number, "eventDate": "2023-06-01", "decimalLatitude": "20.5", "decimalLongitude": "10.5",
            "geodeticDatum": "WGS84", "coordinateUncertaintyInMeters": "30", "order": "Odonata"}  # fmt: skip
    return {**base, **changes}


def test_counts_add_up(checked: Any) -> None:
    check = checked(
        [row("1"), row("2", eventDate="2023-10-03"), row("3", eventDate=""), row("4", eventDate="2023-10-01")]
    )
    header, collecting, specimens = layer_counts(check)
    assert header[0] == "layer"
    assert collecting[0] == "collecting"
    assert collecting[1:] == specimens[1:] == [1, 0, 1, 0, 2, 0]


def test_findings_are_gathered_worst_first(checked: Any) -> None:
    check = checked(
        [row("1"), row("2", eventDate=""), row("3", eventDate="2023-10-03"), row("4", eventDate="2023-10-04")]
    )
    first, second = main_findings(check)
    assert first.startswith("2 specimens, collecting:")
    assert "(first: 3)" in first
    assert second.startswith("1 specimen, collecting:")


def test_finding_shown_is_the_reason_of_the_verdict(checked: Any) -> None:
    """Near the edge (cannot tell) and of a taxon that the paper leaves out (no): outside for the taxon."""
    check = checked([row("1", decimalLongitude="10.0001", order="Diptera")], taxa={"exclude": ["Diptera"]})
    (line,) = main_findings(check)
    assert "excluded" in line


def test_all_covered_says_nothing(checked: Any) -> None:
    assert main_findings(checked([row("1")])) == []


def test_specimen_without_a_number_is_named_by_its_row(checked: Any) -> None:
    (line,) = main_findings(checked([row(""), row("", eventDate="")]))
    assert "(first: row 2)" in line
