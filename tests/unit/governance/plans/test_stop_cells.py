"""A row of a pasted table, cell by cell: what is read, what is refused, and in which words."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from accessions.sites.models import Site
from governance.plans.forms.day_cells import DayProblem, read_day, read_days
from governance.plans.forms.stop_cells import RowReader
from governance.plans.forms.stop_columns import columns_of

UPPER = Site(code="SE-HAL-1", code_key="se-hal-1", name="Upper bridge", name_key="upper bridge", country="SE")
LOWER = Site(code="SE-HAL-2", code_key="se-hal-2", name="Mill", name_key="mill")
OTHER = Site(code="SE-HAL-3", code_key="se-hal-3", name="Mill", name_key="mill")
SITES = {"se-hal-1": [UPPER], "upper bridge": [UPPER], "se-hal-2": [LOWER], "mill": [LOWER, OTHER]}


def read(**cells: str) -> RowReader:
    """The reader of row 7, whose columns are headed by their meaning."""
    reader = RowReader({"name": "A", **cells}, SITES, lambda meaning: f'row 7, column "{meaning}"')
    reader.draft_read = reader.draft()  # type: ignore[attr-defined]
    return reader


def values(**cells: str) -> dict[str, Any]:
    """The fields of a row without problems."""
    reader = read(**cells)
    assert reader.problems == []
    return dict(reader.draft_read.values)  # type: ignore[attr-defined]


# Days -----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text", ["2027-06-03", "20270603", "3 June 2027", "June 3, 2027", "3.VI.2027", "3-Jun-2027", "2027-06-03T00:00:00"]
)
def test_a_day_in_every_form_that_has_one_reading(text: str) -> None:
    assert read_day(text) == date(2027, 6, 3)


def test_a_day_over_the_twelfth_has_one_reading_either_way_round() -> None:
    assert read_day("25/06/2027") == read_day("06/25/2027") == date(2027, 6, 25)


@pytest.mark.parametrize("text", ["2027-06-03/2027-06-05", "3-5 June 2027"])
def test_a_run_of_days(text: str) -> None:
    assert read_days(text) == (date(2027, 6, 3), date(2027, 6, 5))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("03/06/2027", "could be 2027-06-03 or 2027-03-06"),  # day first, or month first
        ("2027-06", "not known to the day"),
        ("2027-02-29", "February has 28 days"),  # 2027 is no leap year
        ("3/6/27", "century is not written"),
        ("next June", "no day that can be read"),
        ("1027-06-03", "another age"),
    ],
)
def test_a_day_that_is_not_one_is_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(DayProblem) as refused:
        read_day(text)
    assert words in refused.value.found
    assert refused.value.expected


def test_the_leap_day_is_a_day() -> None:
    assert read_day("2028-02-29") == date(2028, 2, 29)


def test_a_run_is_not_one_day() -> None:
    with pytest.raises(DayProblem, match="more than one day"):
        read_day("2027-06-03/2027-06-05")


def test_dates_of_two_columns_agree_or_are_told() -> None:
    same = values(days="2027-06-03/2027-06-05", first="3 June 2027")
    assert (same["first_on"], same["last_on"]) == (date(2027, 6, 3), date(2027, 6, 5))
    (problem,) = read(days="2027-06-03/2027-06-05", last="2027-06-06").problems
    assert problem[0] == 'row 7, column "last"'


def test_the_last_day_before_the_first() -> None:
    (problem,) = read(first="2027-06-05", last="2027-06-04").problems
    assert problem[0] == 'row 7, column "last"'
    assert "2027-06-04, is before the first, 2027-06-05" in problem[1]


def test_one_day_is_a_stop_of_one_day() -> None:
    told = values(first="2027-06-05", last="2027-06-05")
    assert told["first_on"] == told["last_on"] == date(2027, 6, 5)


# Places ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("latitude", "longitude"),
    [
        ("61.95", "15.3"),
        ("61,95", "15,3"),
        ("61°57.0'N", "15°18.0'E"),  # 57/60 = 0.95, 18/60 = 0.3
        ("61 57 00 N", "15 18 00 E"),
        ("61.95 N", "15.3 E"),
    ],
)
def test_coordinates_as_people_write_them(latitude: str, longitude: str) -> None:
    told = values(latitude=latitude, longitude=longitude, radius="200")
    assert told["latitude_deg"] == pytest.approx(61.95, abs=1e-9)
    assert told["longitude_deg"] == pytest.approx(15.3, abs=1e-9)
    assert told["radius_m"] == 200


def test_south_and_west_are_below_zero() -> None:
    told = values(latitude="41°06' S", longitude="71°18' W")  # 6/60 = 0.1, 18/60 = 0.3
    assert told["latitude_deg"] == pytest.approx(-41.1, abs=1e-9)
    assert told["longitude_deg"] == pytest.approx(-71.3, abs=1e-9)


def test_a_point_in_one_cell() -> None:
    told = values(position="61.95, 15.3")
    assert (told["latitude_deg"], told["longitude_deg"], told["radius_m"]) == (61.95, 15.3, None)


@pytest.mark.parametrize(("text", "metres"), [("200", 200), ("200 m", 200), ("2 km", 2000), ("1.5 km", 1500)])
def test_a_radius_with_its_unit(text: str, metres: float) -> None:
    assert values(latitude="61.95", longitude="15.3", radius=text)["radius_m"] == metres


@pytest.mark.parametrize(
    ("cells", "column", "words"),
    [
        ({"latitude": "95", "longitude": "15"}, "latitude", "beyond 90 degrees"),
        ({"latitude": "61.95", "longitude": ""}, "longitude", "blank"),
        ({"latitude": "", "longitude": "15.3"}, "latitude", "blank"),
        ({"latitude": "0", "longitude": "0"}, "latitude", "0,0 stands for coordinates that are missing"),
        ({"latitude": "61.95", "longitude": "15.3", "position": "1, 2"}, "position", "more than once"),
        ({"latitude": "61.95", "longitude": "15.3", "radius": "0"}, "radius", "0 m"),
        ({"latitude": "61.95", "longitude": "15.3", "radius": "1,500"}, "radius", "no length"),
        ({"radius": "200"}, "radius", "without a point"),
        ({"area": "POINT (15 61)"}, "area", "cannot be read"),
        ({"country": "Atlantis"}, "country", "no country"),
        ({"site": "nowhere"}, "site", 'no site has the code or name "nowhere"'),
        ({"site": "Mill"}, "site", "several sites"),
    ],
)
def test_a_place_that_cannot_be_is_refused_by_its_column(cells: dict[str, str], column: str, words: str) -> None:
    problems = read(**cells).problems
    assert [problem[0] for problem in problems] == [f'row 7, column "{column}"']
    assert words in problems[0][1]
    assert problems[0][2], "what to do is said"


def test_a_site_by_code_or_name_names_the_stop() -> None:
    assert values(site="se-HAL-1")["site"] is UPPER
    assert values(name="", site="Upper  Bridge")["name"] == "Upper bridge"


def test_an_area_clears_a_point_and_the_other_way_round() -> None:
    """A row that is taken over an earlier stop leaves no second place behind."""
    ring = "POLYGON ((15 61, 15.1 61, 15.1 61.1, 15 61))"
    assert values(area=ring)["longitude_deg"] is None
    assert values(latitude="61.95", longitude="15.3")["area"] == ""


@pytest.mark.parametrize(("text", "code"), [("SE", "SE"), ("Sweden", "SE"), ("se", "SE"), ("", "")])
def test_a_country_by_code_or_name(text: str, code: str) -> None:
    assert values(country=text)["country"] == code


# Groups, numbers, traps -----------------------------------------------------------------------------------------------


def targets(**cells: str) -> list[tuple[str, str, str]]:
    return [(row["name"], row["kingdom"], row["expected"]) for row in read(**cells).draft_read.targets]  # type: ignore[attr-defined]


def test_groups_with_their_numbers_in_order() -> None:
    found = targets(groups="Trichoptera | Ephemeroptera | Odonata", expected="400 |  | 20-50")
    assert found == [("Trichoptera", "", "400"), ("Ephemeroptera", "", ""), ("Odonata", "", "20-50")]


def test_a_kingdom_in_brackets_or_in_its_column() -> None:
    assert targets(groups="Oenanthe [Plantae] | Odonata", kingdom="Animalia") == [
        ("Oenanthe", "Plantae", ""), ("Odonata", "Animalia", ""),
    ]  # fmt: skip


def test_numbers_that_fit_no_groups_are_refused() -> None:
    """One number beside two groups is neither the number of both nor of each."""
    (problem,) = read(groups="Trichoptera | Odonata", expected="400").problems
    assert problem[0] == 'row 7, column "expected"'
    assert "1 for 2 groups" in problem[1]


def test_a_number_without_a_group_is_refused() -> None:
    (problem,) = read(expected="400").problems
    assert problem[0] == 'row 7, column "expected"'


def test_a_number_that_is_none_is_kept_with_a_note() -> None:
    reader = read(groups="Odonata", expected="plenty")
    assert reader.problems == []
    assert "“plenty”" in reader.notes[0]


def test_traps_stand_as_long_as_the_stop_or_as_they_say() -> None:
    traps = "2 x Malaise trap (2027-06-03 to 2027-06-17) | light trap × 3 | net"
    reader = read(first="2027-06-03", last="2027-06-05", traps=traps)
    found = [(row["method"], row["number"], row["first_on"], row["last_on"]) for row in reader.draft_read.traps]  # type: ignore[attr-defined]
    first, last = date(2027, 6, 3), date(2027, 6, 5)
    malaise = ("Malaise trap", 2, first, date(2027, 6, 17))
    assert found == [malaise, ("light trap", 3, first, last), ("net", 1, first, last)]


def test_days_of_traps_are_told_with_their_trap() -> None:
    (problem,) = read(traps="Malaise trap (03/06/2027)").problems
    assert problem[0] == 'row 7, column "traps"'
    assert "could be 2027-06-03 or 2027-03-06" in problem[1]


def test_all_problems_of_a_row_at_once() -> None:
    problems = read(name="", latitude="95", longitude="15", first="soon", groups="A | B", expected="1").problems
    assert {problem[0].rpartition(" ")[2] for problem in problems} == {'"name"', '"latitude"', '"first"', '"expected"'}


def test_a_column_that_is_not_there_says_nothing() -> None:
    """So that a table of names and days leaves the places of the stops that it is taken over."""
    reader = read(first="2027-06-03")
    assert set(reader.draft_read.values) == {"name", "first_on", "last_on"}  # type: ignore[attr-defined]
    assert (reader.draft_read.targets, reader.draft_read.traps) == (None, None)  # type: ignore[attr-defined]


def test_a_text_too_long_to_keep_is_refused() -> None:
    (problem,) = read(name="x" * 201).problems
    assert "201 characters" in problem[1]
    assert "200" in problem[2]


# Headers --------------------------------------------------------------------------------------------------------------


def test_headers_in_plain_words() -> None:
    headers = ["Stop", "Site", "Latitude", "Longitude", "Radius (m)", "First day", "Last day", "Methods", "People",
               "Country", "Groups", "Expected", "Traps"]  # fmt: skip
    columns = columns_of(headers, "table")
    assert list(columns.of) == ["name", "site", "latitude", "longitude", "radius", "first", "last", "methods", "people",
                                "country", "groups", "expected", "traps"]  # fmt: skip
    assert (columns.left_out, columns.problems) == ((), ())


def test_headers_in_terms_of_darwin_core() -> None:
    """Terms: Darwin Core quick reference guide (TDWG)."""
    headers = ["locality", "locationID", "decimalLatitude", "decimalLongitude", "coordinateUncertaintyInMeters",
               "dwc:eventDate", "samplingProtocol", "recordedBy", "countryCode", "scientificName",
               "individualCount", "footprintWKT"]  # fmt: skip
    meanings = ["name", "site", "latitude", "longitude", "radius", "days", "methods", "people", "country", "groups",
                "expected", "area"]  # fmt: skip
    assert list(columns_of(headers, "table").of) == meanings


def test_a_header_that_means_nothing_is_left_out_by_name() -> None:
    assert columns_of(["stop", "colour of the boots"], "table").left_out == ("colour of the boots",)


def test_two_columns_of_one_meaning_are_a_problem() -> None:
    (problem,) = columns_of(["stop", "lat", "decimalLatitude"], "table").problems
    assert '"lat", "decimalLatitude"' in problem.found


def test_a_table_that_names_no_stop_says_which_headers_would() -> None:
    (problem,) = columns_of(["latitude", "longitude"], "table").problems
    assert "no column names the stops" in problem.found
    assert "stop, site" in problem.expected
