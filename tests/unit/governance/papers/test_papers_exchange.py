"""The papers file: the example of the contract, and what its keys become."""

from __future__ import annotations

import copy
import datetime
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import shapely

from accessions.intake.problems import FileProblems
from governance.engine.tables import Assistants, Covers, Layer, ListedTaxon, Words
from governance.papers.exchange import PapersFile, papers_from_bytes, read_papers
from governance.papers.schema_check import papers_schema

SQUARE: dict[str, Any] = {"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]]]}

EXAMPLE: dict[str, Any] = {
    "reference": "COL-2023-014",
    "kind": "collecting-permit",
    "layers": ["collecting"],
    "issuer": "...",
    "jurisdiction": "CR",
    "holder": "...",
    "issued_on": "2023-03-02",
    "versions": [
        {
            "in_force_from": "2023-05-01",
            "in_force_to": "2023-09-30",
            "places": {
                "include": [
                    {"country": "CR"},
                    {"subdivision": "CR-A"},
                    {"site": " Site-7 "},
                    {"site": "SITE-8", "geojson": SQUARE},
                    {"geojson": SQUARE, "boundary_error_m": 0},
                    {"point": [-84.1, 9.9], "radius_m": 5000},
                ],
                "exclude": [{"site": "SITE-9", "point": [-84.1, 9.9], "radius_m": 1}],
            },
            "taxa": {"include": ["Odonata"], "exclude": [{"name": "Oenanthe", "kingdom": "Plantae"}]},
            "methods": {"include": ["Hand  Net"], "exclude": []},
            "people": {"named": ["A. Person"], "assistants": "supervised"},
            "closed_seasons": [["02-29", "08-31"]],
            "sexes": {"include": [], "exclude": ["female"]},
            "life_stages": {"include": [], "exclude": []},
            "caps": [{"taxon": "Odonata", "each": "species", "per": "year", "limit": 10}, {"limit": 0, "taxon": "*"}],
        }
    ],
    "suspensions": [["2023-06-10", "2023-06-20"], ["2023-09-01", None]],
    "revoked_on": None,
    "covers": {"accessions": ["*"], "sites": ["Site-7"], "events": ["EV-1"], "specimens": []},
}
"""After the example of VERDICTS, section 8."""


def _read(*papers: dict[str, Any]) -> PapersFile:
    return papers_from_bytes(json.dumps({"papers": papers}).encode(), "papers.json")


def _day(text: str) -> int:
    return datetime.date.fromisoformat(text).toordinal()


def test_paper() -> None:
    (paper,) = _read(EXAMPLE).papers
    assert (paper.reference, paper.kind, paper.jurisdiction) == ("COL-2023-014", "collecting-permit", "CR")
    assert paper.layers == {Layer.COLLECTING}
    assert paper.suspensions == ((_day("2023-06-10"), _day("2023-06-20")), (_day("2023-09-01"), None))
    assert paper.revoked_day is None
    assert paper.covers == Covers(True, frozenset(), frozenset({"site-7"}), frozenset({"EV-1"}), frozenset())


def test_version() -> None:
    (version,) = _read(EXAMPLE).papers[0].versions
    assert (version.from_day, version.to_day) == (_day("2023-05-01"), _day("2023-09-30"))
    assert version.include_taxa == (ListedTaxon("odonata", "", "Odonata"),)
    assert version.exclude_taxa == (ListedTaxon("oenanthe", "plantae", "Oenanthe"),)
    assert version.methods == Words(frozenset({"hand net"}))
    assert version.sexes == Words(frozenset(), frozenset({"female"}))
    assert (version.people, version.assistants) == (("A. Person",), Assistants.SUPERVISED)
    assert version.closed_seasons == (((2, 29), (8, 31)),)
    first, second = version.caps
    assert (first.limit, first.each_species, first.per) == (10, True, "year")
    assert (second.limit, second.taxon, second.each_species, second.per) == (0, None, False, "paper")


def test_places() -> None:
    (version,) = _read(EXAMPLE).papers[0].versions
    country, subdivision, site, mapped_site, area, disc = version.include_places
    assert (country.country, subdivision.subdivision, site.site) == ("CR", "CR-A", "site-7")
    assert site.text == "Site-7"
    square = shapely.box(0, 0, 1, 1)
    assert mapped_site.site == "site-8" and mapped_site.shape is not None and mapped_site.shape.equals(square)
    assert area.shape is not None and area.shape.equals(square) and area.boundary_error_m == 0
    assert country.boundary_error_m is None
    assert disc.disc == (-84.1, 9.9, 5000.0)
    assert version.exclude_places[0].disc == (-84.1, 9.9, 1.0)


def test_least_that_a_paper_needs() -> None:
    """No version: an unread paper (section 7.6). No links: one warning."""
    read = _read({"reference": "X", "kind": "other", "layers": ["land"]})
    assert read.papers[0].versions == ()
    (warning,) = read.warnings
    assert warning.severity == "warning" and '"X" is linked to nothing' in str(warning)


def test_unlinked_papers_are_named_once() -> None:
    papers = [{"reference": f"R{i}", "kind": "other", "layers": ["land"], "covers": {"sites": []}} for i in range(3)]
    (warning,) = _read(*papers).warnings
    assert 'papers "R0", "R1", "R2" are linked to nothing' in str(warning)


def test_absent_and_open_ends() -> None:
    paper = {
        **EXAMPLE,
        "versions": [{"in_force_to": "2023-05-01"}, {"in_force_from": "2023-05-02", "in_force_to": None}],
    }
    first, second = _read(paper).papers[0].versions
    assert (first.from_day, first.to_day) == (None, _day("2023-05-01"))
    assert (second.from_day, second.to_day) == (_day("2023-05-02"), None)
    assert first.assistants is Assistants.NOT_ALLOWED


def test_star_is_no_limit() -> None:
    paper = {**EXAMPLE, "versions": [{"in_force_from": "2023-05-02", "taxa": {"include": ["*"]}}]}
    assert _read(paper).papers[0].versions[0].include_taxa == ()


def test_authorship_goes() -> None:
    """Linnaeus, 1758: names match after removing authorship (section 5)."""
    paper = {**EXAMPLE, "versions": [{"taxa": {"include": ["Libellula depressa Linnaeus, 1758"]}}]}
    assert _read(paper).papers[0].versions[0].include_taxa[0].name == "libellula depressa"


def test_no_papers() -> None:
    assert _read().papers == ()


def test_byte_order_mark() -> None:
    data = b"\xef\xbb\xbf" + json.dumps({"papers": [EXAMPLE]}).encode()
    assert len(papers_from_bytes(data, "p.json").papers) == 1


def test_schema_is_valid_and_takes_the_example() -> None:
    """Oracle: the jsonschema library, draft 2020-12."""
    jsonschema.Draft202012Validator.check_schema(papers_schema())
    jsonschema.validate({"papers": [EXAMPLE]}, papers_schema())


@pytest.mark.parametrize(
    "place",
    [
        {},
        {"country": "CR", "site": "A"},
        {"country": "CR", "geojson": SQUARE},
        {"geojson": SQUARE, "point": [0, 0], "radius_m": 1},
        {"point": [0, 0]},
        {"radius_m": 5},
        {"site": "A", "radius_m": 5},
        {"site": "A", "name": "B"},
    ],
)
def test_places_that_the_published_schema_refuses_are_refused(place: dict[str, Any]) -> None:
    """Rules that the reader tells in its own words are rules of the schema as well."""
    paper = copy.deepcopy(EXAMPLE)
    paper["versions"][0]["places"] = {"include": [place]}
    assert not jsonschema.Draft202012Validator(papers_schema()).is_valid({"papers": [paper]})
    with pytest.raises(FileProblems, match=r"places\.include"):
        _read(paper)


def test_area_file_beside_the_papers_file(tmp_path: Path) -> None:
    (tmp_path / "areas").mkdir()
    (tmp_path / "areas" / "reserve.geojson").write_text(json.dumps(SQUARE))
    paper = {**EXAMPLE, "versions": [{"places": {"include": [{"file": "areas/reserve.geojson", "site": "R"}]}}]}
    path = tmp_path / "papers.json"
    path.write_text(json.dumps({"papers": [paper]}))
    (place,) = read_papers(path).papers[0].versions[0].include_places
    assert place.site == "r" and place.shape is not None and place.shape.equals(shapely.box(0, 0, 1, 1))
