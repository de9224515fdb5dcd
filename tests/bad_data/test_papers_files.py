"""Broken papers files: what each message must say, and that all are told at once."""

from __future__ import annotations

import copy
import json
import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from accessions.intake.problems import FileProblems
from governance.papers.exchange import papers_from_bytes, read_papers
from governance.papers.schema_check import papers_schema

PAPER: dict[str, Any] = {
    "reference": "P-1",
    "kind": "collecting-permit",
    "layers": ["collecting"],
    "versions": [{"in_force_from": "2023-05-01", "in_force_to": "2023-09-30"}],
    "covers": {"accessions": ["*"]},
}


def _told(data: bytes) -> list[str]:
    with pytest.raises(FileProblems) as caught:
        papers_from_bytes(data, "papers.json")
    return [str(problem) for problem in caught.value.problems]


def _told_of(*papers: Any) -> list[str]:
    return _told(json.dumps({"papers": papers}).encode())


def _paper(**changes: Any) -> dict[str, Any]:
    return {**copy.deepcopy(PAPER), **changes}


def _version(**changes: Any) -> dict[str, Any]:
    return _paper(versions=[{**PAPER["versions"][0], **changes}])


def _place(place: Any) -> dict[str, Any]:
    return _version(places={"include": [place]})


@pytest.mark.parametrize(
    ("paper", "key", "words"),
    [
        (
            _paper(kind="colecting-permit"),
            "papers[0].kind",
            ['"colecting-permit"', 'nearest known one is "collecting-permit"'],
        ),
        (_paper(layers=["colecting"]), "papers[0].layers[0]", ['"colecting"', 'nearest known one is "collecting"']),
        (_paper(layers=[]), "papers[0].layers", ["a list of 0", "at least 1"]),
        (_paper(jurisdiction="cr"), "papers[0].jurisdiction", ['"cr"', 'nearest known one is "CR"']),
        (_paper(jurisdiction="Costa Rica"), "papers[0].jurisdiction", ['nearest known one is "CR"']),
        (_paper(jurisdiction="CR-AA"), "papers[0].jurisdiction", ['"CR-AA"', '"CR-A"', "3166-2"]),
        (_paper(revokd_on="2023-01-01"), "papers[0].revokd_on", ["not known", 'nearest known one is "revoked_on"']),
        (_paper(issued_on="2023-02-30"), "papers[0].issued_on", ["not a day in the calendar"]),
        (_paper(revoked_on="1.2.2023"), "papers[0].revoked_on", ["no date", "YYYY-MM-DD"]),
        (_paper(holder=7), "papers[0].holder", ["7 stands there", "a text or null"]),
        (_paper(holder="a\x00b"), "papers[0].holder", ["NUL"]),
        (_paper(issuer="\ud800"), "papers[0].issuer", ["half a character"]),
        (_paper(reference="  "), "papers[0].reference", ["blank"]),
        (_paper(suspensions=[["2023-06-20", "2023-06-10"]]), "papers[0].suspensions[0]", ["before 2023-06-20"]),
        (_paper(suspensions=[[None, "2023-06-10"]]), "papers[0].suspensions[0][0]", ["first day is missing"]),
        (_paper(suspensions=[["2023-06-20"]]), "papers[0].suspensions[0]", ["a list of 1", "at least 2"]),
        (_paper(covers={"accesions": ["*"]}), "papers[0].covers.accesions", ['nearest known one is "accessions"']),
        (_version(in_force_to="2023-04-30"), "VERSION.in_force_to", ["before it starts on 2023-05-01"]),
        (_version(in_force_from="2023-02-29"), "VERSION.in_force_from", ["not a day in the calendar"]),
        (_version(cap=[]), "VERSION.cap", ['nearest known one is "caps"']),
        (_version(closed_seasons=[["02-30", "03-01"]]), "VERSION.closed_seasons[0][0]", ["no day of the year"]),
        (_version(closed_seasons=[["3-1", "04-01"]]), "VERSION.closed_seasons[0][0]", ["MM-DD"]),
        (_version(caps=[{"limit": -1}]), "VERSION.caps[0].limit", ["-1 is too small", "at least 0"]),
        (_version(caps=[{"limit": 1.5}]), "VERSION.caps[0].limit", ["whole number"]),
        (_version(caps=[{}]), "VERSION.caps[0].limit", ["missing"]),
        (_version(caps=[{"limit": 1, "per": "month"}]), "VERSION.caps[0].per", ['"month"', "event"]),
        (_version(caps=[{"limit": 1, "each": "specie"}]), "VERSION.caps[0].each", ['"species"']),
        (_version(caps=[{"limit": 10**30}]), "VERSION.caps[0].limit", ["more than"]),
        (_version(people={"assistants": "supervized"}), "VERSION.people.assistants", ['"supervised"']),
        (_version(taxa={"include": ["*", "Odonata"]}), "VERSION.taxa.include", ["beside names"]),
        (_version(taxa={"exclude": ["*"]}), "VERSION.taxa.exclude[0]", ["leave nothing"]),
        (_version(taxa={"include": [" "]}), "VERSION.taxa.include[0]", ["blank"]),
        (_version(taxa={"include": [{"kingdom": "Plantae"}]}), "VERSION.taxa.include[0].name", ["missing"]),
        (_version(methods={"include": [""]}), "VERSION.methods.include[0]", ["blank"]),
        (_place({"country": "Peru"}), "VERSION.places.include[0].country", ['"Peru"', 'nearest known one is "PE"']),
        (_place({"country": "CR", "subdivision": "CR-A"}), "VERSION.places.include[0]", ["exactly one"]),
        (_place({}), "VERSION.places.include[0]", ["none of them", "exactly one"]),
        (_place({"point": [0, 0]}), "VERSION.places.include[0].radius_m", ["missing"]),
        (_place({"point": [9.9, -184.1], "radius_m": 1}), "VERSION.places.include[0].point", ["longitude"]),
        (_place({"point": [0, 0], "radius_m": 0}), "VERSION.places.include[0].radius_m", ["above 0"]),
        (_place({"site": "A", "boundary_error_m": -5}), "VERSION.places.include[0].boundary_error_m", ["-5"]),
        (_place({"file": "../secret.kml"}), "VERSION.places.include[0].file", ["folder of the papers file"]),
    ],
)
def test_faults_are_named_with_key_and_paper(paper: dict[str, Any], key: str, words: list[str]) -> None:
    told = _told_of(paper)
    key = key.replace("VERSION", "papers[0].versions[0]")
    about = [text for text in told if f"key {key} (paper" in text or f"key {key}:" in text]
    assert len(about) == 1, told
    assert all(word in about[0] for word in words), about
    assert len(told) == 1, "one fault, one message"


RING = [[0, 0], [4, 0], [4, 4], [0, 4], [0, 0]]


@pytest.mark.parametrize(
    ("rings", "words"),
    [
        ([RING[:-1]], ["ring 1 (outer)", "not closed", "0, 4"]),
        ([[[0, 0], [4, 4], [4, 0], [0, 4], [0, 0]]], ["ring 1 (outer)", "crosses", "2, 2"]),
        ([[[-170, 0], [170, 0], [170, 9], [-170, 9], [-170, 0]]], ["ring 1 (outer)", "340 degrees of longitude"]),
        ([[[170, 0], [190, 0], [190, 9], [170, 9], [170, 0]]], ["ring 1 (outer)", "leaves the globe at 190, 0"]),
        ([[[0, 80], [9, 80], [9, 91], [0, 91], [0, 80]]], ["ring 1 (outer)", "leaves the globe at 9, 91"]),
        ([RING, [[1, 1], [2, 1], [2, 2], [1, 2]]], ["ring 2 (hole)", "not closed"]),
        ([RING, [[5, 5], [6, 5], [6, 6], [5, 6], [5, 5]]], ["holes", "inside the outer ring"]),
        ([[[0, 0], [1, 1], [2, 2], [0, 0]]], ["ring 1 (outer)", "encloses nothing"]),
        ([[[0, 0], [1, 1], [0, 0]]], ["ring 1 (outer)", "3 positions"]),
        ([[[0, 0], [True, 1], [2, 2], [0, 0]]], ["geojson.coordinates[0][1]", "no position"]),
        ([], ["no ring"]),
    ],
)
def test_faulty_rings_name_paper_place_and_ring(rings: list[Any], words: list[str]) -> None:
    """VERDICTS, section 4: a ring that is not closed, crosses itself, spans too far or leaves -180..180."""
    (told,) = _told_of(_place({"site": "SITE-8", "geojson": {"type": "Polygon", "coordinates": rings}}))
    assert '"P-1"' in told and '"SITE-8"' in told and "places.include[0]" in told
    assert all(word in told for word in words), told


@pytest.mark.parametrize(
    "geojson",
    [{"type": "Point", "coordinates": [0, 0]}, {"type": "Polygno"}, {}, {"type": "Feature", "geometry": None},
     {"type": "FeatureCollection", "features": []}, {"type": "Polygon", "coordinates": "x"},
     {"type": "Polygon", "coordinates": [RING], "crs": {}}],
)  # fmt: skip
def test_geojson_that_is_no_area(geojson: Any) -> None:
    told = _told_of(_place({"geojson": geojson}))
    assert all("places.include[0]" in text and '"P-1"' in text for text in told)


def test_two_versions_with_one_start() -> None:
    """VERDICTS, section 3; two unknown starts are one start as well."""
    same = {"in_force_from": "2023-05-01"}
    (told,) = _told_of(_paper(versions=[same, {"in_force_from": "2024-05-01"}, same]))
    assert "versions[2].in_force_from" in told and "papers[0].versions[0]" in told and "on 2023-05-01" in told
    (told,) = _told_of(_paper(versions=[{}, {"in_force_from": None}]))
    assert "unknown day" in told


def test_repeated_reference() -> None:
    (told,) = _told_of(_paper(), _paper())
    assert '"P-1"' in told and "papers[0]" in told and "unique" in told


def test_everything_at_once() -> None:
    told = _told_of(_paper(kind="x", issued_on="2023-02-30"), {"reference": "B"}, 7)
    text = "\n".join(told)
    for part in ("papers[0].kind", "papers[0].issued_on", "papers[1].kind", "papers[1].layers", "papers[2]"):
        assert part in text


def test_duplicate_key_is_named_with_its_path() -> None:
    told = _told(b'{"papers": [{"reference": "A", "kind": "other", "layers": ["land"], "kind": "exemption"}]}')
    assert len(told) == 1 and "key papers[0].kind" in told[0] and "twice" in told[0]


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999", "9" * 5000])
def test_numbers_that_are_none(number: str) -> None:
    data = b'{"papers": [{"versions": [{"caps": [{"limit": %s}]}]}]}' % number.encode()
    (told,) = _told(data)
    assert "finite" in told


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "not JSON"),
        (b'{"papers": [}', "line 1"),
        (b'{"papers":\n["\xe9"]}', "not UTF-8"),
        (b"[]", "an object"),
        (b'{"papers": {}}', "a list"),
        (b"{}", '"papers" is missing'),
        ("{}".encode("utf-16"), "UTF-8"),
    ],
)
def test_what_is_no_papers_file(data: bytes, words: str) -> None:
    assert words in "\n".join(_told(data))


@pytest.mark.parametrize("opening", [b"[", b'{"a":', b'[{"\\"":'])
def test_fifty_megabytes_of_nesting_are_refused_at_once(opening: bytes) -> None:
    """Common practice, no source: a reader that recurses would end the process."""
    data = opening * (50_000_000 // len(opening))
    start = time.thread_time()  # not of the clock: others may be at work beside it
    (told,) = _told(data)
    assert "nested more than 60 levels" in told
    assert time.thread_time() - start < 5


def test_brackets_in_strings_are_no_nesting() -> None:
    text = '\\"[[{{' * 400_000  # longer than a piece of the scan, so that escapes fall on its seams
    told = _told(b'{"papers": [], "x": "%s"}' % text.encode())
    assert len(told) == 1 and 'the key "x" is not known' in told[0]


def test_many_empty_lists_are_refused() -> None:
    (told,) = _told(b'{"papers": [' + b"[]," * 20_000_000 + b"[]]}")
    assert "more than 10,000,000 values" in told


def test_many_faults_are_counted() -> None:
    told = _told_of(*[_paper(reference=f"R{i}", issued_on="x") for i in range(300)])
    assert len(told) == 201 and "100 more problems" in told[-1]


def test_area_files_outside_the_folder(tmp_path: Path) -> None:
    inside = tmp_path / "inside"
    inside.mkdir()
    (tmp_path / "secret.wkt").write_text("POLYGON ((0 0, 1 0, 1 1, 0 0))")
    os.symlink(tmp_path / "secret.wkt", inside / "link.wkt")
    for written in ("../secret.wkt", str(tmp_path / "secret.wkt"), "link.wkt", "none.wkt", "a\\b", "x\x00y"):
        path = inside / "papers.json"
        path.write_text(json.dumps({"papers": [_place({"file": written})]}))
        with pytest.raises(FileProblems, match="folder of the papers file"):
            read_papers(path)


def test_faults_of_an_area_file_name_paper_and_file(tmp_path: Path) -> None:
    (tmp_path / "a.wkt").write_text("POLYGON ((0 0, 4 4, 4 0, 0 4, 0 0))")
    path = tmp_path / "papers.json"
    path.write_text(json.dumps({"papers": [_place({"file": "a.wkt"})]}))
    with pytest.raises(FileProblems) as caught:
        read_papers(path)
    assert all(word in str(caught.value) for word in ('"P-1"', "a.wkt", "ring 1 (outer)", "crosses"))


def test_absent_file(tmp_path: Path) -> None:
    with pytest.raises(FileProblems, match="cannot be opened"):
        read_papers(tmp_path / "none.json")


def _paths(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if path:
        yield path
    entries = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for step, item in entries:
        yield from _paths(item, (*path, step))


FULL: dict[str, Any] = _paper(
    jurisdiction="CR",
    suspensions=[["2023-06-10", "2023-06-20"]],
    versions=[
        {
            "in_force_from": "2023-05-01",
            "places": {
                "include": [{"site": "A", "geojson": {"type": "Polygon", "coordinates": [RING]}}, {"country": "CR"}]
            },
            "taxa": {"include": [{"name": "Oenanthe", "kingdom": "Plantae"}]},
            "people": {"named": ["A. Person"], "assistants": "supervised"},
            "closed_seasons": [["03-01", "08-31"]],
            "caps": [{"taxon": "Odonata", "each": "species", "per": "paper", "limit": 10}],
        }
    ],
)


@pytest.mark.parametrize("junk", [None, True, -1, 1e308, "", "x", "*", [], {}, [[]], [None], {"a": 1}], ids=repr)
def test_a_wrong_value_anywhere_is_told_or_fits_the_schema(junk: Any) -> None:
    """No traceback wherever a wrong value stands, and nothing is taken that the published schema refuses."""
    schema = jsonschema.Draft202012Validator(papers_schema())
    for path in _paths(FULL):
        paper = copy.deepcopy(FULL)
        holder = paper
        for step in path[:-1]:
            holder = holder[step]
        holder[path[-1]] = junk
        try:
            papers_from_bytes(json.dumps({"papers": [paper]}).encode(), "papers.json")
        except FileProblems as problems:
            assert problems.problems
        else:
            assert schema.is_valid({"papers": [paper]}), path
