"""Dates of ISO 8601-1 and EDTF, label dates, and the date of a whole row."""

import csv
from datetime import date
from pathlib import Path

import pytest

from accessions.values import read_date, read_event_date, read_label_date, written_span

CASES = Path(__file__).parents[3] / "data" / "eventdate_cases.csv"


def cases() -> list[dict[str, str]]:
    """Published examples of Darwin Core, ISO 8601, EDTF and TDWG BDQ; the source of each stands in the file."""
    with CASES.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def day(text: str) -> int:
    return date.fromisoformat(text).toordinal()


def end(text: str) -> int | None:
    return None if text in ("open", "unknown") else day(text)


def days(first: str, last: str = "") -> tuple[int, int]:
    return day(first), day(last or first)


READABLE = [case for case in cases() if case["earliest"] not in ("error", "review")]
REFUSED = [case for case in cases() if case["earliest"] in ("error", "review")]


def test_the_file_of_cases_is_whole() -> None:
    assert (len(READABLE), len(REFUSED)) == (73, 56)


@pytest.mark.parametrize("case", READABLE, ids=lambda case: case["eventDate"])
def test_span_as_written(case: dict[str, str]) -> None:
    assert written_span(case["eventDate"]) == (end(case["earliest"]), end(case["latest"])), case["source"]
    assert read_event_date(case["eventDate"]).reading in ("run", "vague")


@pytest.mark.parametrize("case", REFUSED, ids=lambda case: case["eventDate"])
def test_refused_forms(case: dict[str, str]) -> None:
    # blank, and "null" of the house list of blanks, are missing; all other refused forms cannot be read
    read = read_event_date(case["eventDate"])
    assert written_span(case["eventDate"]) is None, case["note"]
    assert read.reading == ("missing" if case["eventDate"] in ("", "null") else "unreadable"), case["note"]
    assert (read.earliest_day, read.latest_day) == (None, None)
    assert read.hint or read.reading == "missing"


# Which forms are a run: contract of verdicts, section 3 (both ends known to the day).
@pytest.mark.parametrize(
    "text",
    ["2023-06-12", "1880-05-08/10", "2008-02-15/03-14", "2024-05-01T08:00/2024-05-03T17:00", "1963-03-08T14:07-06:00",
     "2023-05-01T00:00:00", "2018-03-14T23:30:00-03:00/2018-03-15T01:00:00-03:00", "1985-W15-5", "20240501",
     "2007-12-14T13:30/15:30"],
)  # fmt: skip
def test_days_known_at_both_ends_are_a_run(text: str) -> None:
    assert read_event_date(text).reading == "run"


@pytest.mark.parametrize(
    "text",
    ["2023-09", "2023", "1984?", "2004-06-11%", "1985-04-12/..", "/1985-04-12", "2004-02-01/2005-02", "2004-06-XX",
     "201X", "2009-02-20T08:40Z", "2007-03-01T13:00:00Z/2008-05-11T15:30:00Z", "2024-W20", "1900/1909"],
)  # fmt: skip
def test_everything_else_is_vague(text: str) -> None:
    assert read_event_date(text).reading == "vague"


# EDTF level 1 (day or month not specified), ISO 8601-1 (an end that leaves out what it shares with its start; a length
# of time); days counted by hand.
@pytest.mark.parametrize(
    ("text", "reading", "first", "last"),
    [
        ("2004-06-0X", "vague", "2004-06-01", "2004-06-09"),
        ("2004-06-1X", "vague", "2004-06-10", "2004-06-19"),
        ("2004-02-2X", "vague", "2004-02-20", "2004-02-29"),
        ("2005-02-2X", "vague", "2005-02-20", "2005-02-28"),
        ("2004-04-3X", "vague", "2004-04-30", "2004-04-30"),
        ("2004-1X", "vague", "2004-10-01", "2004-12-31"),
        ("2004-06/07", "vague", "2004-06-01", "2004-07-31"),
        ("2004-06-01/P1D", "vague", "2004-06-01", "2004-06-02"),
        ("2004-06-01/P2W", "vague", "2004-06-01", "2004-06-15"),
        ("P1M/2004-03-31", "vague", "2004-02-29", "2004-03-31"),
        ("2004-06-01T10:00+02:00/12:00", "run", "2004-06-01", "2004-06-01"),
        # times on two clocks are not compared: 09:00 UTC may be any hour of 1 June or the evening before
        ("2004-06-01T10:00/2004-06-01T09:00Z", "vague", "2004-06-01", "2004-06-01"),
    ],
)
def test_forms_that_name_less_than_they_mean(text: str, reading: str, first: str, last: str) -> None:
    read = read_event_date(text)
    assert (read.reading, read.earliest_day, read.latest_day) == (reading, *days(first, last))


# Widening by one unit of its own precision on each side: contract, section 3; days counted by hand.
@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2004-06-11%", "2004-06-10", "2004-06-12"),
        ("2004-06~", "2004-05-01", "2004-07-31"),
        ("2024-01?", "2023-12-01", "2024-02-29"),
        ("1984?", "1983-01-01", "1985-12-31"),
        ("201X?", "2000-01-01", "2029-12-31"),
        ("19XX~", "1800-01-01", "2099-12-31"),
        ("2004-06-~01/2004-06-~20", "2004-05-31", "2004-06-21"),
        ("2004-?06-11", "2004-05-11", "2004-07-11"),  # the month is in doubt
        ("2004?-06-11", "2003-06-11", "2005-06-11"),  # the year is
        ("2004-06~-11", "2003-06-11", "2005-06-11"),  # month and year are: the coarsest counts
        ("2004-06-01?/2004-06-20", "2004-05-31", "2004-06-20"),
    ],
)
def test_qualified_dates_are_widened(text: str, first: str, last: str) -> None:
    read = read_event_date(text)
    assert (read.earliest_day, read.latest_day) == days(first, last)
    assert read.qualified
    assert read.reading == "vague"


# Local day of a UTC time: offsets -12 to +14 hours, up to the end of what is written; hours counted by hand.
@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2024-01-01T02:00Z", "2023-12-31", "2024-01-01"),  # 31st 14:00 to 1st 16:00
        ("2009-02-20T08:40Z", "2009-02-19", "2009-02-20"),  # 19th 20:40 to 20th 22:40
        ("2024-05-10T09:59Z", "2024-05-09", "2024-05-10"),  # up to 23:59:59
        ("2024-05-10T10:00Z", "2024-05-09", "2024-05-11"),  # 9th 22:00 to 11th 00:00
        ("2024-05-10T11:59Z", "2024-05-09", "2024-05-11"),
        ("2024-05-10T12:00Z", "2024-05-10", "2024-05-11"),  # 10th 00:00 to 11th 02:00
        ("2024-05-10T09Z", "2024-05-09", "2024-05-10"),  # up to 09:59:59 UTC
        ("2024-05-10T00:00:00Z", "2024-05-09", "2024-05-10"),
        ("2024-05-10T13:00Z/2024-05-12T13:00Z", "2024-05-10", "2024-05-13"),
        ("2024-05-10T13:00Z/15:00", "2024-05-10", "2024-05-11"),  # the end takes the zone of the start
    ],
)
def test_utc_times_may_fall_on_a_neighbouring_day(text: str, first: str, last: str) -> None:
    read = read_event_date(text)
    assert (read.earliest_day, read.latest_day, read.reading) == (*days(first, last), "vague")


# What a person reads: the reason, and the standard form where there is one. Never taken by itself.
@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1985-04-31", "April has 30 days"),
        ("2023-02-29", "February has 28 days"),
        ("1985-13", "no month 13"),
        ("24.ix-8.x.2023", "could be read as 2023-09-24/2023-10-08"),
        ("17IV1934", "could be read as 1934-04-17"),
        ("18/V/1981", "could be read as 1981-05-18"),
        ("2021-28-10", "could be 2021-10-28; confirm it"),
        ("2021/10/28", "could be 2021-10-28; confirm it"),
        ("2007-11-13–15", "could be 2007-11-13/15"),
        ("03/04/2020", "day and month"),
        ("31/04/2019", "April has 30 days"),  # 31 is no month: one order alone, and no day of the calendar
        ("02/29/2019", "2019 is no leap year"),
        ("13/14/2019", "no month 14"),
        ("5.6.98", "century"),
        ("2001-21", "season"),
        ("2024-05-10/2024-05-01", "ends before it starts"),
        ("2007-12-14T15:30/13:30", "ends before it starts"),
        ("1963-03-08T14:67", "minute 67"),
        ("P1Y", "duration alone"),
        ("2004?%", "not a date"),
        ("?2004?", "two qualifiers on one part"),
        ("25.12.1430", "not a date in the form"),  # one order alone, and no year that a label would have
        ("2021-31-04", "no month 31"),  # April has 30 days: nothing is offered
        ("1990-1995", "could be 1990/1995; confirm it"),
        ("1990 – 1995", "could be read as 1990/1995"),
        ("2005-W53", "no week 53"),  # ISO 8601: 2004 and 2009 have one, 2005 to 2008 do not
        ("2005-366", "no day 366"),
        ("2004-000", "no day 0"),
        ("2005-02-3X", "February has 28 days"),
        ("2004-13-1X", "no month 13"),
        ("2004-2X", "no month 2X"),
        ("2004-06-01T10:00+14:01", "no time zone +14:01"),  # no clock is farther from UTC than 14 hours
        ("2004-06-01T10:00+02:60", "no time zone +02:60"),
        ("2004-06-01T10:00+02:00/09:00", "ends before it starts"),  # the end takes the zone of the start
        ("2004-11/02", "ends before it starts"),
        ("2004-06/P1D", "needs a day to count from"),
        ("2004-06-01?/P1D", "needs a day to count from"),
        ("9999-12-31/P1Y", "leaves the calendar"),
    ],
)
def test_hints(text: str, words: str) -> None:
    read = read_event_date(text)
    assert read.reading == "unreadable"
    assert words in read.hint


# Label dates: forms common on labels (common practice, no source), Darwin Core's verbatimEventDate, and TDWG
# BDQ (dataIDs 690, 696, 698, 701), each with the reading published there or the only one there is.
@pytest.mark.parametrize(
    ("text", "reading", "first", "last"),
    [
        ("12.vi.2023", "run", "2023-06-12", "2023-06-12"),
        ("12/13.vi.2023", "run", "2023-06-12", "2023-06-13"),
        ("24.ix-8.x.2023", "run", "2023-09-24", "2023-10-08"),
        ("24.ix–8.x.2023", "run", "2023-09-24", "2023-10-08"),
        ("30.ix/1.x.2023", "run", "2023-09-30", "2023-10-01"),
        ("28.xii.2022–12.i.2023", "run", "2022-12-28", "2023-01-12"),
        ("vi–viii.2001", "vague", "2001-06-01", "2001-08-31"),
        ("ix.2023", "vague", "2023-09-01", "2023-09-30"),
        ("May 1998", "vague", "1998-05-01", "1998-05-31"),
        ("Marzo 2002", "vague", "2002-03-01", "2002-03-31"),
        ("1998", "vague", "1998-01-01", "1998-12-31"),
        ("1990-1995", "vague", "1990-01-01", "1995-12-31"),
        ("1999-03-XX", "vague", "1999-03-01", "1999-03-31"),
        ("17IV1934", "run", "1934-04-17", "1934-04-17"),
        ("18/V/1981", "run", "1981-05-18", "1981-05-18"),
        ("9.ii-10.iii.2000", "run", "2000-02-09", "2000-03-10"),
        ("XX DEC 1932", "vague", "1932-12-01", "1932-12-31"),
        ("1980s", "vague", "1980-01-01", "1989-12-31"),
        ("12 June 2023", "run", "2023-06-12", "2023-06-12"),
        ("12th June, 2023", "run", "2023-06-12", "2023-06-12"),
        ("June 12, 2023", "run", "2023-06-12", "2023-06-12"),
        ("June 12-14, 2023", "run", "2023-06-12", "2023-06-14"),
        ("25/12/2020", "run", "2020-12-25", "2020-12-25"),
        ("12/25/2020", "run", "2020-12-25", "2020-12-25"),
        ("05/05/2020", "run", "2020-05-05", "2020-05-05"),
        ("1er août 1934", "run", "1934-08-01", "1934-08-01"),
        ("3. März 1911", "run", "1911-03-03", "1911-03-03"),
        ("12 de dezembro de 1975", "run", "1975-12-12", "1975-12-12"),
        ("4 maj 1901", "run", "1901-05-04", "1901-05-04"),
        ("10 luglio 1899", "run", "1899-07-10", "1899-07-10"),
        ("2023-06-12", "run", "2023-06-12", "2023-06-12"),
        ("  12.vi.2023 ", "run", "2023-06-12", "2023-06-12"),
    ],
)
def test_label_dates(text: str, reading: str, first: str, last: str) -> None:
    read = read_label_date(text)
    assert read is not None
    assert (read.reading, read.earliest_day, read.latest_day) == (reading, *days(first, last))


@pytest.mark.parametrize(
    "text",
    ["03/04/2020", "5.6.98", "12.vi.98", "spring 1910", "summer 1987", "before 1960", "20.ii–6.iii", "31.iv.2023",
     "12.xiii.2023", "28.xii–12.i.2023", "10-8 June 2023", "12 13 June 2023", "1900s", "circa 1900", "1430", "0377",
     "12.vi.2023 or 13.vi.2023", "", "n/a", "10-28", "vi 12", "٣.vi.2023", "25/12/1430", "1430-1500", "1995-1990"],
)  # fmt: skip
def test_label_dates_that_would_be_guesses(text: str) -> None:
    assert read_label_date(text) is None


# Common practice, no source; days counted by hand (24 to 30 September is 7, 1 to 8 October is 8).
def test_trap_run_over_the_end_of_a_permit_counts_fifteen_days_seven_before_october() -> None:
    run = read_label_date("24.ix–8.x.2023")
    assert run is not None and run.earliest_day is not None and run.latest_day is not None
    assert run.latest_day - run.earliest_day + 1 == 15
    assert day("2023-09-30") - run.earliest_day + 1 == 7


# The date of a row: contract of verdicts, section 3.
def test_blank_event_date_is_read_from_its_parts() -> None:
    assert read_date(year="2023", month="6", day="12") == read_event_date("2023-06-12")
    assert read_date(year="2023", month="06") == read_event_date("2023-06")
    assert read_date(event_date="n/a", year="2023") == read_event_date("2023")


@pytest.mark.parametrize(
    "parts",
    [{"year": "2023", "month": "13"}, {"year": "2023", "month": "4", "day": "31"}, {"year": "23"},
     {"year": "2023", "month": "0"}, {"year": "2023", "day": "32"}],
)  # fmt: skip
def test_impossible_parts_cannot_be_read(parts: dict[str, str]) -> None:
    assert read_date(**parts).reading == "unreadable"


def test_no_year_is_missing() -> None:
    assert read_date(month="6", day="12").reading == "missing"
    assert read_date().reading == "missing"


def test_verbatim_alone_is_offered_not_taken() -> None:
    read = read_date(verbatim="12.vi.2023")
    assert read.reading == "missing"
    assert "2023-06-12" in read.hint


def test_an_unreadable_event_date_is_not_replaced_by_its_parts() -> None:
    assert read_date("2023-02-30", year="2023", month="2").reading == "unreadable"


def test_blanks_around_the_cell_do_not_count() -> None:
    assert read_date(" 1863-03-29 ").earliest_day == day("1863-03-29")


@pytest.mark.parametrize(
    ("event", "verbatim"),
    [("2023-06-12", "13.vi.2023"), ("2023-06-12", "vi.2023"), ("2023-06", "30.vi-1.vii.2023"), ("1984?", "1.i.1986"),
     ("2023-06-12", "2023-06-12/..")],
)  # fmt: skip
def test_a_readable_verbatim_outside_the_event_date_is_a_conflict(event: str, verbatim: str) -> None:
    read = read_date(event, verbatim=verbatim)
    assert (read.reading, read.earliest_day, read.latest_day) == ("conflict", None, None)
    assert "verbatimEventDate" in read.hint


@pytest.mark.parametrize(
    ("event", "verbatim"),
    [("2023-06-12", "12.vi.2023"), ("2023-06", "12.vi.2023"), ("2023-06-12", "5.6.98"), ("2023-06-12", "spring 1910"),
     ("1984?", "31.xii.1985"), ("2023-06-12/..", "vi.2024"), ("2009-02-20T08:40Z", "19.ii.2009")],
)  # fmt: skip
def test_a_verbatim_inside_or_unreadable_is_none(event: str, verbatim: str) -> None:
    assert read_date(event, verbatim=verbatim) == read_event_date(event)


# BDQ VALIDATION_EVENTDATE_CONSISTENT, dataIDs 465 to 476, holds eventDate against its parts in the same way.
@pytest.mark.parametrize(
    ("event", "parts", "conflicts"),
    [
        ("2023-06-12", {"year": "2023", "month": "6", "day": "12"}, False),
        ("2023-06-12", {"year": "2022"}, True),
        ("2023-06-12", {"month": "7"}, True),
        ("2023-06-12", {"day": "13"}, True),
        ("2023-06-12", {"year": "MMXXIII", "month": "June"}, True),
        ("2023-06-12", {"year": "2023.0", "month": "June"}, False),
        ("2023-06-12", {"year": "23"}, True),
        ("2023-06-12", {"month": "13"}, True),
        ("2023-06-12", {"day": "0"}, True),
        ("2023-06", {"day": "31"}, True),
        ("2023-06", {"day": "30"}, False),
        ("1981-12-30/1982-01-03", {"year": "1982", "month": "1", "day": "3"}, False),
        ("1981-12-30/1982-01-03", {"year": "1982", "month": "12"}, True),
        ("1896/1904", {"month": "2", "day": "29"}, False),
        ("1897/1903", {"month": "2", "day": "29"}, True),  # 1900 was no leap year
        ("1897-03-01/..", {"month": "2", "day": "29"}, False),
        ("2023-06-12/..", {"year": "2020"}, True),
        ("../2023-06-12", {"year": "2020", "month": "2", "day": "29"}, False),
        ("1984?", {"year": "1985"}, False),  # as widened
        ("1984?", {"year": "1986"}, True),
        ("2009-02-20T08:40Z", {"day": "19"}, False),
    ],
)
def test_filled_parts_must_fit_a_day_of_the_interval(event: str, parts: dict[str, str], conflicts: bool) -> None:
    assert read_date(event, **parts).reading == ("conflict" if conflicts else read_event_date(event).reading)
