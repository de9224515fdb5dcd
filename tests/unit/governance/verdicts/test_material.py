"""Rows of text become the engine's tables: what each column is taken for."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from accessions.intake.specimens import SpecimenTable
from governance.engine import Material
from governance.engine.tables import NONE, RANKS, UNBOUNDED, DateReading, Position
from governance.verdicts.material import material_of


def material(*rows: dict[str, str]) -> Material:
    """A table of rows, columns in the order in which they are first named."""
    terms = list(dict.fromkeys(term for row in rows for term in row))
    columns = {term: [row.get(term, "") for row in rows] for term in terms}
    return material_of(SpecimenTable("a.csv", len(rows), columns, range(2, len(rows) + 2)))


def place(**row: str) -> dict[str, object]:
    table = material(row).places
    return {name: getattr(table, name)[0] for name in (
        "position", "longitude_deg", "latitude_deg", "radius_m", "datum_known", "generalized", "country", "subdivision",
        "sites", "text")}  # fmt: skip


POINT = {"decimalLatitude": "9.93", "decimalLongitude": "-84.08", "geodeticDatum": "EPSG:4326"}


def test_columns_that_are_absent_are_blank() -> None:
    """A file of catalogue numbers alone: no date, no place, no name; one individual is assumed."""
    found = material({"catalogNumber": "X-1"}, {"catalogNumber": "X-2"})
    s = found.specimens
    assert found.dates.reading[s.date].tolist() == [DateReading.MISSING] * 2
    assert found.places.position[s.place].tolist() == [Position.NONE] * 2
    assert found.taxa.lineage[s.taxon[0]] == ("",) * len(RANKS)
    assert (s.count_low.tolist(), s.count_high.tolist(), s.count_assumed.tolist()) == ([1, 1], [1, 1], [True, True])
    assert (s.event.tolist(), s.accession.tolist()) == ([NONE, NONE], [NONE, NONE])
    assert found.people[s.people[0]] == ()


def test_distinct_values_are_read_once() -> None:
    found = material(*[{"eventDate": "2023-05-01", **POINT}] * 50, {"eventDate": "2023-05-02", **POINT})
    assert len(found.places) == 1
    assert np.unique(found.specimens.date).size == 2
    assert len(found.specimens) == 51


def test_four_dates_are_told_apart() -> None:
    found = material(
        {"eventDate": "2023-05-01", "exportedOn": "2023-06-01", "importedOn": "2023-06", "transferredOn": ""}
    )
    s, dates = found.specimens, found.dates
    days = [date.fromordinal(int(dates.earliest[column[0]])).isoformat() for column in (s.date, s.exported, s.imported)]
    assert days == ["2023-05-01", "2023-06-01", "2023-06-01"]
    assert dates.reading[s.exported[0]] == DateReading.RUN
    assert dates.reading[s.imported[0]] == DateReading.VAGUE
    assert dates.reading[s.transferred[0]] == DateReading.MISSING


def test_verbatim_date_is_for_the_collecting_date_alone() -> None:
    found = material({"eventDate": "2023-05-01", "verbatimEventDate": "2.v.2023", "exportedOn": "2023-06-01"})
    assert found.dates.reading[found.specimens.date[0]] == DateReading.CONFLICT
    assert found.dates.reading[found.specimens.exported[0]] == DateReading.RUN


@pytest.mark.parametrize(("written", "metres"), [("30", 30.0), ("0", None), ("", None), ("-5", None), ("ca. 50", None)])
def test_radius(written: str, metres: float | None) -> None:
    found = float(str(place(**POINT, coordinateUncertaintyInMeters=written)["radius_m"]))
    assert found == metres if metres else np.isnan(found)


@pytest.mark.parametrize(
    ("row", "position"),
    [
        (POINT, Position.POINT),
        ({"decimalLatitude": "0", "decimalLongitude": "0"}, Position.NONE),
        ({"decimalLatitude": "91", "decimalLongitude": "0"}, Position.INVALID),
        ({"decimalLatitude": "9.93"}, Position.INVALID),
        ({"decimalLatitude": "9,93", "decimalLongitude": "-84,08"}, Position.INVALID),
        ({"footprintWKT": "POLYGON ((0 0, 1 0, 1 1, 0 0))"}, Position.FOOTPRINT),
        ({**POINT, "footprintWKT": "POLYGON ((0 0, 1 0, 1 1, 0 0))"}, Position.FOOTPRINT),
        ({**POINT, "footprintWKT": "POINT (7 43)"}, Position.POINT),  # a point is no footprint
        ({**POINT, "footprintWKT": "POLYGON ((0 0, 1 1, 1 0, 0 1, 0 0))"}, Position.POINT),
        ({"footprintWKT": "POLYGON ((0 0, 1 1, 1 0, 0 1, 0 0))"}, Position.INVALID),
        ({"decimalLatitude": "91", "decimalLongitude": "0", "footprintWKT": "POLYGON ((0 0, 1 0, 1 1, 0 0))"},
         Position.FOOTPRINT),
    ],
)  # fmt: skip
def test_position(row: dict[str, str], position: Position) -> None:
    assert place(**row)["position"] == position


@pytest.mark.parametrize(
    ("row", "country", "subdivision"),
    [
        ({"countryCode": "cr"}, "CR", ""),
        ({"countryCode": "CRI"}, "", ""),
        ({"countryCode": "ZZ"}, "", ""),
        ({"countryCode": "NA"}, "NA", ""),
        ({"stateProvince": "CR-A"}, "", "CR-A"),
        ({"stateProvince": "cr-a", "countryCode": "CR"}, "CR", "CR-A"),
        ({"stateProvince": "CR-A", "countryCode": "PA"}, "PA", ""),
        ({"stateProvince": "CR-QQ", "countryCode": "CR"}, "CR", ""),
        ({"stateProvince": "Alajuela", "countryCode": "CR"}, "CR", ""),
    ],
)
def test_country_and_subdivision(row: dict[str, str], country: str, subdivision: str) -> None:
    """A code in stateProvince counts where countryCode is blank or agrees (VERDICTS, section 4)."""
    found = place(**row)
    assert (found["country"], found["subdivision"]) == (country, subdivision)


def test_sites_are_folded_and_both_keys_kept() -> None:
    assert place(locationID="SITE-7", siteName=" The  Meadow ")["sites"] == ("site-7", "the meadow")
    assert place(locationID="Bog", siteName="bog")["sites"] == ("bog",)
    assert place()["sites"] == ()


def test_any_text_says_coarsened() -> None:
    assert place(**POINT, dataGeneralizations="to 0.1 degree")["generalized"]
    assert place(**POINT, informationWithheld="ask")["generalized"]
    assert not place(**POINT)["generalized"]


def test_numbers_match_exactly_and_blank_is_none() -> None:
    found = material(
        {"eventID": "E-1", "accessionNumber": "a"}, {"eventID": "", "accessionNumber": "A"}, {"eventID": "e-1"}
    )
    assert [found.events[n] if n != NONE else None for n in found.specimens.event] == ["E-1", None, "e-1"]
    assert [found.accessions[n] if n != NONE else None for n in found.specimens.accession] == ["a", "A", None]


@pytest.mark.parametrize(
    ("row", "low", "high", "assumed"),
    [
        ({"individualCount": "7"}, 7, 7, False),
        ({"individualCount": "7", "countRange": "300-500"}, 300, 500, False),
        ({"individualCount": "many"}, 1, UNBOUNDED, False),
        ({"individualCount": "", "unit": "lot"}, 1, UNBOUNDED, True),
        ({"individualCount": "", "unit": "specimen"}, 1, 1, True),
        ({"individualCount": "", "basisOfRecord": "MaterialSample"}, 1, UNBOUNDED, True),
        ({"individualCount": "", "organismQuantity": "12.5"}, 1, UNBOUNDED, True),
    ],
)
def test_counts(row: dict[str, str], low: int, high: int, assumed: bool) -> None:
    """Assumed says that the count was blank; a lot then has no bound (VERDICTS, section 6)."""
    s = material(row).specimens
    assert (s.count_low[0], s.count_high[0], bool(s.count_assumed[0])) == (low, high, assumed)


def test_lists_are_parted() -> None:
    found = material({"recordedBy": "Berg, Anna | B. Lund", "samplingProtocol": "hand net | light trap", "sex": "Male"})
    s = found.specimens
    assert found.people[s.people[0]] == ("Berg, Anna", "B. Lund")
    assert [m.casefold() for m in found.methods[s.methods[0]]] == ["hand net", "light trap"]
    assert [m.casefold() for m in found.sexes[s.sexes[0]]] == ["male"]


def test_lineage_stands_at_its_ranks() -> None:
    found = material(
        {"kingdom": "Animalia", "order": "Odonata", "scientificName": "Sympetrum striolatum (Charpentier, 1840)"}
    )
    lineage = dict(zip(RANKS, found.taxa.lineage[0], strict=True))
    assert (lineage["kingdom"], lineage["order"], lineage["genus"]) == ("animalia", "odonata", "sympetrum")
    assert lineage["species"] == "sympetrum striolatum"
    assert found.taxa.text[0] == "Sympetrum striolatum (Charpentier, 1840)"
