"""The lines of the seasons become the rows that they say. Expected values by hand, from a small source shown here."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from governance.config.demo.seasons import Row, Seasons, write_rows

CORE = """
sites:
  SE-A: [Upper ford, Sweden, SE, "", 62.0410, 15.5320]
"""
SEASONS = """
sites:
  SE-B: [Saw mill, Sweden, SE, "", 62.0480, 15.5480]
groups:
  two:
    - Animalia Arthropoda Insecta Trichoptera Rhyacophilidae | Rhyacophila nubila | Rhyacophila
accessions:
  LMN-1: {first: 100, row: {recordedBy: J. Ek}}
  LMN-2: {first: 200, row: {recordedBy: K. Lagermo, geodeticDatum: ""}}
series:
  - {accession: LMN-1, prefix: VIT, sites: [SE-A, SE-B], start: 2024-02-28, every: 7, times: 2, run: 3,
     method: Malaise trap, groups: [two], radii: [30, 100], total: 8}
  - {accession: LMN-1, prefix: ONE, sites: [SE-B], start: 2024-05-01, every: 1, times: 1,
     method: hand net, groups: [two], radii: [30], single: true, total: 3}
  - {accession: LMN-2, prefix: "", sites: [SE-A], date: "1962-06", method: hand net, groups: [two], radii: [500],
     row: {recordedBy: Ek}, total: 25}
"""


@pytest.fixture
def seasons(tmp_path: Path) -> Seasons:
    (tmp_path / "lindmark_source.yaml").write_text(CORE, "utf-8")
    (tmp_path / "lindmark_seasons.yaml").write_text(SEASONS, "utf-8")
    return Seasons(tmp_path)


@pytest.fixture
def rows(seasons: Seasons) -> dict[str, list[Row]]:
    return dict(seasons.by_accession())


def test_every_line_gives_the_specimens_that_it_says(seasons: Seasons, rows: dict[str, list[Row]]) -> None:
    assert {accession: len(found) for accession, found in rows.items()} == {"LMN-1": 8 + 3, "LMN-2": 25}
    assert seasons.total == 36


def test_numbers_run_on_through_the_lines_of_an_accession(rows: dict[str, list[Row]]) -> None:
    assert [row["catalogNumber"] for row in rows["LMN-1"]] == [f"LMN-FW-{n:07d}" for n in range(100, 111)]


def test_each_visit_of_each_site_is_an_event(rows: dict[str, list[Row]]) -> None:
    """28 February 2024 and two days more end on 1 March: 2024 is a leap year."""
    events = list(dict.fromkeys((r["eventID"], r["locationID"], r["eventDate"]) for r in rows["LMN-1"][:8]))
    assert events == [
        ("VIT-01", "SE-A", "2024-02-28/2024-03-01"),
        ("VIT-02", "SE-B", "2024-02-28/2024-03-01"),
        ("VIT-03", "SE-A", "2024-03-06/2024-03-08"),
        ("VIT-04", "SE-B", "2024-03-06/2024-03-08"),
    ]


def test_specimens_are_shared_out_evenly(rows: dict[str, list[Row]]) -> None:
    assert [row["eventID"] for row in rows["LMN-1"][:8]] == ["VIT-01"] * 2 + ["VIT-02"] * 2 + ["VIT-03"] * 2 + [
        "VIT-04"
    ] * 2


def test_columns_of_an_event_are_the_same_for_all_of_its_specimens(rows: dict[str, list[Row]]) -> None:
    first, second = rows["LMN-1"][:2]
    for column in ("decimalLatitude", "coordinateUncertaintyInMeters", "samplingProtocol", "recordedBy", "siteName"):
        assert first[column] == second[column]
    assert (first["decimalLatitude"], first["decimalLongitude"], first["geodeticDatum"]) == (62.0410, 15.5320, "WGS84")


def test_the_line_goes_before_the_accession_and_both_before_the_rest(rows: dict[str, list[Row]]) -> None:
    row = rows["LMN-2"][0]
    assert (row["recordedBy"], row["geodeticDatum"], row["eventDate"], row["eventID"]) == ("Ek", "", "1962-06", "")


def test_names_stand_with_what_is_above_them(rows: dict[str, list[Row]]) -> None:
    species, genus = rows["LMN-1"][:2]
    assert (species["family"], species["genus"]) == ("Rhyacophilidae", "Rhyacophila")
    assert species["scientificName"] == "Rhyacophila nubila"
    assert genus["scientificName"] == "Rhyacophila sp."


def test_single_specimens_count_one(rows: dict[str, list[Row]]) -> None:
    assert [(row["individualCount"], row["unit"]) for row in rows["LMN-1"][8:]] == [(1, "specimen")] * 3


def test_now_and_then_a_lot_with_a_range(rows: dict[str, list[Row]]) -> None:
    """The 23rd of a line."""
    lot = rows["LMN-2"][22]
    low, high = map(int, lot["countRange"].split("-"))
    assert (lot["unit"], "individualCount" in lot, high) == ("lot", False, 2 * low)


def test_the_same_every_time(seasons: Seasons, rows: dict[str, list[Row]]) -> None:
    assert dict(seasons.by_accession()) == rows


def test_written_rows_are_read_back(tmp_path: Path, rows: dict[str, list[Row]]) -> None:
    write_rows(rows["LMN-2"], tmp_path / "out.csv")
    with (tmp_path / "out.csv").open(encoding="utf-8", newline="") as file:
        back = list(csv.DictReader(file))
    assert [row["catalogNumber"] for row in back] == [row["catalogNumber"] for row in rows["LMN-2"]]
    assert (back[22]["individualCount"], back[22]["countRange"]) == ("", rows["LMN-2"][22]["countRange"])


def test_the_real_file_gives_unique_numbers() -> None:
    """Of the seasons, and of the hand-written specimens beside them."""
    fixtures = Path(__file__).resolve().parents[5] / "fixtures"
    numbers = [row["catalogNumber"] for _, found in Seasons(fixtures).by_accession() for row in found]
    with (fixtures / "lindmark_specimens.csv").open(encoding="utf-8", newline="") as file:
        numbers += [row["catalogNumber"] for row in csv.DictReader(file)]
    assert len(numbers) == 25_318
    assert len(set(numbers)) == len(numbers)
