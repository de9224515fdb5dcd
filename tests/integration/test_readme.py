"""The README's example gives what the README says. Expected values by hand, from the words of the example."""

from __future__ import annotations

import csv
import re
import subprocess
import sys
from argparse import ArgumentParser
from pathlib import Path

import pytest
from django.core.management import load_command_class
from django.core.management.base import BaseCommand

PROJECT = Path(__file__).resolve().parents[2]
README = (PROJECT / "README.md").read_text("utf-8")
COLUMNS = [
    "catalogNumber", "eventDate", "decimalLatitude", "decimalLongitude", "geodeticDatum",
    "coordinateUncertaintyInMeters", "countryCode", "order", "family", "scientificName", "individualCount",
]  # fmt: skip


@pytest.fixture
def papers(tmp_path: Path) -> Path:
    """The papers file that the README shows."""
    found = re.search(r"^```json\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    assert found
    path = tmp_path / "papers.json"
    path.write_text(found.group(1), "utf-8")
    return path


def verdicts_by_specimen(tmp_path: Path, papers: Path, rows: list[list[str]]) -> dict[str, tuple[str, str]]:
    """Verdict and finding of each catalogue number; every row here has one."""
    specimens, out = tmp_path / "specimens.csv", tmp_path / "verdicts.csv"
    with specimens.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([COLUMNS, *rows])
    command = [sys.executable, "manage.py", "check_files", str(specimens), "--papers", str(papers), "--out", str(out)]
    result = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True, timeout=120)
    assert result.returncode == 0, result.stderr
    with out.open(encoding="utf-8", newline="") as file:
        return {row["catalogNumber"]: (row["verdict"], row["finding"]) for row in csv.DictReader(file)}


def test_example_of_papers(tmp_path: Path, papers: Path) -> None:
    """In force 1 May to 30 September 2023, 5 km around 14.2 E 57.8 N, Odonata but for Cordulegastridae."""
    here = ["57.8", "14.2", "WGS84", "50", "SE"]
    hawker = ["Odonata", "Aeshnidae", "Aeshna grandis", "1"]
    goldenring = ["Odonata", "Cordulegastridae", "Cordulegaster boltonii", "1"]
    # One degree of latitude is 111 km: 0.1 degree north of the centre is 6 km outside the circle of 5 km.
    north = ["57.9", "14.2", "WGS84", "50", "SE"]
    found = verdicts_by_specimen(
        tmp_path,
        papers,
        [
            ["first day", "2023-05-01", *here, *hawker],
            ["day before", "2023-04-30", *here, *hawker],
            ["day after", "2023-10-01", *here, *hawker],
            ["no day", "", *here, *hawker],
            ["north", "2023-06-01", *north, *hawker],
            ["excluded family", "2023-06-01", *here, *goldenring],
        ],
    )
    assert found["first day"] == ("covered", "")
    assert found["day before"] == ("outside", "before-start")
    assert found["day after"] == ("outside", "after-end")
    assert found["no day"][0] == "cannot-tell"
    assert found["north"] == ("outside", "outside-area")
    assert found["excluded family"] == ("outside", "taxon-excluded")


def options(parser: ArgumentParser) -> set[str]:
    return {option for action in parser._actions for option in action.option_strings if option.startswith("--")}


def test_options_of_check_files_are_those_that_the_command_has() -> None:
    described = set(re.findall(r"^\| `(--[a-z-]+)", README, re.MULTILINE))
    parser = load_command_class("governance.verdicts", "check_files").create_parser("manage.py", "check_files")
    general = BaseCommand().create_parser("manage.py", "check_files")
    assert options(parser) - options(general) == described
