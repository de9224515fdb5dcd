"""Headers to terms. Terms and IRIs: Darwin Core quick reference; everyday words: common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest

from accessions.intake.columns import recognise
from accessions.intake.problems import FileProblems
from accessions.intake.specimens import SpecimenTable, read_specimens


@pytest.mark.parametrize(
    ("header", "term"),
    [
        ("eventDate", "eventDate"),
        ("EVENT DATE", "eventDate"),
        ("event_date", "eventDate"),
        ("dwc:event-date", "eventDate"),
        ("http://rs.tdwg.org/dwc/terms/eventDate", "eventDate"),
        ("http://purl.org/dc/terms/license", "license"),
        ("lat", "decimalLatitude"),
        ("Longitude", "decimalLongitude"),
        ("uncertainty (m)", "coordinateUncertaintyInMeters"),
        ("Cat. no.", "catalogNumber"),
        ("Collector(s)", "recordedBy"),
        ("leg.", "recordedBy"),
        ("Date", "eventDate"),
        ("country", "country"),
        ("Country Code", "countryCode"),
        ("site", "siteName"),
        ("locality id", "locationID"),
        ("trap", "samplingProtocol"),
        ("exported on", "exportedOn"),
        ("count range", "countRange"),
        ("unit", "unit"),
    ],
)
def test_headers(header: str, term: str) -> None:
    assert recognise([header]).by_term == {term: 0}


@pytest.mark.parametrize("header", ["radius (km)", "elevation", "colour", "permit", "x" * 100_000, "☃"])
def test_what_could_mean_several_things_is_kept_aside(header: str) -> None:
    recognition = recognise([header, "eventDate"])
    assert recognition.by_term == {"eventDate": 1}
    assert recognition.unknown == (header,)
    assert any("kept aside" in note for note in recognition.notes)


def test_term_wins_over_everyday_word() -> None:
    recognition = recognise(["lat", "decimal latitude"])
    assert recognition.by_term == {"decimalLatitude": 1}
    assert recognition.unknown == ("lat",)


def test_exact_spelling_wins_of_two() -> None:
    assert recognise(["event date", "eventDate"]).by_term == {"eventDate": 1}


@pytest.mark.parametrize("headers", [["event date", "event_date"], ["method", "trap"]])
def test_two_columns_for_one_term_are_an_error(headers: list[str]) -> None:
    (problem,) = recognise(headers).problems
    assert headers[0] in str(problem) and headers[1] in str(problem) and "stand for" in str(problem)


def test_species_beside_genus_may_be_the_epithet() -> None:
    recognition = recognise(["genus", "species"])
    assert recognition.by_term == {"genus": 0}
    assert any("specificEpithet" in note for note in recognition.notes)
    assert recognise(["species"]).by_term == {"scientificName": 0}


def _specimens(tmp_path: Path, text: str) -> SpecimenTable:
    path = tmp_path / "s.csv"
    path.write_text(text, encoding="utf-8")
    return read_specimens(path)


def test_blanks_and_trimming(tmp_path: Path) -> None:
    """House list of VERDICTS, section 8: exact words; NA in countryCode is Namibia."""
    table = _specimens(tmp_path, "catalogNumber,countryCode,sex\n A1 ,NA,unknown\nA2,n/a,NA\nA3,CR,Unknown\n")
    assert table.columns["catalogNumber"] == ["A1", "A2", "A3"]
    assert table.columns["countryCode"] == ["NA", "", "CR"]
    assert table.columns["sex"] == ["", "", "Unknown"]
    assert table.warnings == ()


def test_warnings_sum_up(tmp_path: Path) -> None:
    rows = "".join(f"{n},{c}\n" for n, c in [("7", "CR"), ("", "CR"), ("7", "Peru"), ("", "cr"), ("8", "PE")])
    table = _specimens(tmp_path, "catalogNumber,countryCode\n" + rows)
    assert table.row_count == 5
    blank, repeated, country = map(str, table.warnings)
    assert "2 rows (3, 5) have no catalogNumber" in blank
    assert '"7" in rows 2, 4' in repeated
    assert "1 row (4) has" in country and '"Peru"' in country


def test_all_warnings_are_warnings(tmp_path: Path) -> None:
    table = _specimens(tmp_path, "catalogNumber\n1\n1\n")
    assert [problem.severity for problem in table.warnings] == ["warning"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("catalogNumber,eventDate\n", "no rows below the header"),
        ("colour,shape\nred,round\n", "no column is known"),
        ("lat,latitude\n1,2\n", "decimalLatitude"),
    ],
)
def test_errors(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(FileProblems, match=words):
        _specimens(tmp_path, text)
