"""What is read from the written columns of an event, for lists, maps and constraints."""

from __future__ import annotations

from datetime import date
from hashlib import sha256

from accessions.material.reading import EVENT_TERMS, event_digest, read_event


def test_a_whole_statement() -> None:
    read = read_event({
        "eventDate": "2024-06-17", "decimalLatitude": "42.084", "decimalLongitude": "43.903", "geodeticDatum": "WGS84",
        "coordinateUncertaintyInMeters": "30", "countryCode": "ge",
    })  # fmt: skip

    assert (read.reading, read.earliest_on, read.latest_on) == ("run", date(2024, 6, 17), date(2024, 6, 17))
    assert (read.longitude_deg, read.latitude_deg, read.radius_m, read.country) == (43.903, 42.084, 30.0, "GE")
    assert read.hints == ()


def test_nothing_stated_is_nothing_read() -> None:
    read = read_event({})

    assert read.columns() == ("missing", None, None, None, None, None, "")
    assert read.hints == ()


def test_an_open_end_is_null() -> None:
    assert read_event({"eventDate": "../1950"}).columns()[:3] == ("vague", None, date(1950, 12, 31))


def test_the_last_year_of_the_calendar_fits() -> None:
    """A date column holds the years 1 to 9999."""
    read = read_event({"eventDate": "9999-12-31"})

    assert read.latest_on in (date(9999, 12, 31), None)
    assert read_event({"eventDate": "10000-01-01"}).earliest_on is None


def test_dates_in_conflict_have_no_days() -> None:
    read = read_event({"eventDate": "2023-06-12", "verbatimEventDate": "13.vi.2023"})

    assert (read.reading, read.earliest_on, read.latest_on) == ("conflict", None, None)


def test_what_cannot_be_read_is_said_of_its_column() -> None:
    read = read_event({
        "eventDate": "2020-06-31", "decimalLatitude": "161.9", "decimalLongitude": "15.3", "countryCode": "SWE",
        "coordinateUncertaintyInMeters": "ca. 50 m",
    })  # fmt: skip

    assert [term for term, _ in read.hints] == [
        "eventDate", "decimalLatitude", "countryCode", "coordinateUncertaintyInMeters",
    ]  # fmt: skip
    assert (read.longitude_deg, read.latitude_deg, read.radius_m, read.country) == (None, None, None, "")


def test_no_country_of_darwin_core_is_no_country_and_no_mistake() -> None:
    """XZ is the high seas (Darwin Core, countryCode)."""
    read = read_event({"countryCode": "XZ"})

    assert (read.country, read.hints) == ("", ())


def test_a_footprint_alone_gives_a_point_within_it() -> None:
    read = read_event({"footprintWKT": "POLYGON ((10 20, 11 20, 11 21, 10 21, 10 20))", "footprintSRS": "EPSG:4326"})

    assert read.longitude_deg is not None and read.latitude_deg is not None
    assert 10 < read.longitude_deg < 11 and 20 < read.latitude_deg < 21


def test_the_digest_is_sha_256_of_the_columns_joined_by_nul() -> None:
    """Pinned, since every event of a register is known by it."""
    text = "\0".join({"eventDate": "2024-06-17"}.get(term, "") for term in EVENT_TERMS)

    assert event_digest({"eventDate": "2024-06-17"}) == sha256(text.encode()).hexdigest()
    assert event_digest({"eventDate": "2024-06-17", "year": ""}) == event_digest({"eventDate": "2024-06-17"})
