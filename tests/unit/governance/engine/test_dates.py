"""The date of a specimen against the days of a paper: the day before, the day, the day after.

Rules: VERDICTS, section 3. Days are counted by hand; leap years from the Gregorian calendar (every fourth year, not
1900, but 2000).
"""

from __future__ import annotations

from typing import Any

import pytest

from governance.engine import EngineError, HouseRules, Outlines
from governance.engine.reference import judge
from tests.factories import zoo
from tests.factories.engine import a_material, a_paper, some_requirements
from tests.unit.governance.engine.judging import judged, measure_of, measured, of, told

SEASON: dict[str, Any] = {"start": "2023-05-01", "end": "2023-09-30"}
COVERED = ("covered",)


@pytest.mark.parametrize(
    ("date", "expected"),
    [
        ("2023-04-29", ("before-start", 2, None)),
        ("2023-04-30", ("before-start", 1, None)),
        ("2023-10-01", ("after-end", 1, None)),
        ("2023-10-31", ("after-end", 31, None)),
        ("2024-02-29", ("after-end", 152, None)),  # 31 October, 30 November, 31 December, 31 January, 29 February
        ("2023-04-20/2023-04-28", ("before-start", 3, None)),
        ("2023-10-03/2023-10-09", ("after-end", 3, None)),
    ],
)
def test_days_to_the_nearest_valid_day(date: str, expected: tuple[str, float | None, float | None]) -> None:
    """A run is measured from its end that is nearer."""
    assert measure_of({"date": date}, **SEASON) == expected


@pytest.mark.parametrize("date", ["2023-05-01", "2023-09-30", "2023-05-01/2023-09-30", "2023-05", "2023-05/2023-09"])
def test_both_ends_count(date: str) -> None:
    assert of({"date": date}, **SEASON) == COVERED


@pytest.mark.parametrize(
    ("date", "expected"),
    [
        ("2023-04-30/2023-05-01", ("straddles", 1, 2)),
        ("2023-09-30/2023-10-01", ("straddles", 1, 2)),
        ("2023-09-21/2023-10-10", ("straddles", 10, 20)),
        ("2023-04-30/2023-10-01", ("straddles", 153, 155)),  # 31 + 30 + 31 + 31 + 30
        ("2023-04/2023-05", ("date-vague", 31, 61)),
        ("2023", ("date-vague", 153, 365)),
        ("2023-09-30?", ("date-vague", 2, 3)),  # 29 September to 1 October
        ("2023-07~", ("date-vague", 92, 92)),  # June to August, all inside; a doubted date never gives yes
    ],
)
def test_runs_straddle_and_vague_dates_stay_open(date: str, expected: tuple[str, float, float]) -> None:
    assert measure_of({"date": date}, **SEASON) == expected


def test_run_that_straddles_is_a_verdict_and_a_vague_date_is_not() -> None:
    assert of({"date": "2023-04-30/2023-05-01"}, **SEASON)[0] == "straddles"
    assert of({"date": "2023-04/2023-05"}, **SEASON)[0] == "cannot-tell"


@pytest.mark.parametrize(
    ("date", "expected"),
    [
        ("2023-02-28", ("closed-season", 1, None)),
        ("2023-02-27", ("closed-season", 2, None)),
        ("2023-03-01", None),
        ("2024-02-29", ("closed-season", 1, None)),
        ("2024-02-28", ("closed-season", 2, None)),
        ("2022-12-31", ("closed-season", 47, None)),  # 16 to 31 December 2022; the nearest valid day is 14 November
        ("2023-11-14", None),
        ("2023-11-15", ("closed-season", 1, None)),
    ],
)
def test_closed_season_over_the_new_year_ends_with_february(
    date: str, expected: tuple[str, float, None] | None
) -> None:
    """15 November to 29 February: the end is 28 February in a common year."""
    paper: dict[str, Any] = {"start": "2020-01-01", "closed": ["11-15/02-29"]}
    if expected is None:
        assert of({"date": date}, **paper) == COVERED
    else:
        assert measure_of({"date": date}, **paper) == expected


@pytest.mark.parametrize(("date", "open_day"), [("2023-02-28", True), ("2023-03-01", False), ("2024-02-29", False)])
def test_closed_season_from_leap_day_starts_in_march_in_a_common_year(date: str, open_day: bool) -> None:
    assert (of({"date": date}, start="2020-01-01", closed=["02-29/03-10"]) == COVERED) is open_day


@pytest.mark.parametrize(("date", "open_day"), [("1900-02-28", False), ("1900-03-01", True), ("2000-02-29", False)])
def test_century_years(date: str, open_day: bool) -> None:
    """1900 had no 29 February; 2000 had one."""
    assert (of({"date": date}, start="1890-01-01", closed=["02-01/02-29"]) == COVERED) is open_day


def test_season_closed_all_year_leaves_no_day() -> None:
    """No valid day, so there is none to count to."""
    assert measure_of({"date": "2023-05-01"}, start="2023-01-01", closed=["01-01/12-31"]) == (
        "closed-season",
        None,
        None,
    )


@pytest.mark.parametrize(
    ("date", "expected"),
    [
        ("2023-06-09", COVERED),
        ("2023-06-10", ("outside", "suspended")),
        ("2023-06-20", ("outside", "suspended")),
        ("2023-06-21", COVERED),
        ("2023-08-14", COVERED),
        ("2023-08-15", ("outside", "revoked")),
        ("2023-10-15", ("outside", "revoked")),  # also after the end: the reason beside the nearest valid day
    ],
)
def test_suspension_and_revocation(date: str, expected: tuple[str, ...]) -> None:
    """A suspension counts at both ends, a revocation from its day on."""
    assert of({"date": date}, suspended=["2023-06-10/2023-06-20"], revoked="2023-08-15", **SEASON) == expected


def test_run_over_a_suspension_straddles_it() -> None:
    paper = a_paper(suspended=["2023-06-10/2023-06-20"], **SEASON)
    assert measured(judged([{"date": "2023-06-09/2023-06-21"}], [paper])[0]) == ("straddles", 2, 13)


def test_suspension_without_an_end_goes_on() -> None:
    paper: dict[str, Any] = {"suspended": ["2023-06-10/.."], **SEASON}
    assert measure_of({"date": "2023-09-30"}, **paper) == ("suspended", 113, None)  # 9 June to 30 September


GAP = [{"start": "2022-05-01", "end": "2022-09-30"}, {"start": "2023-05-01", "end": "2023-09-30"}]


@pytest.mark.parametrize(
    ("date", "expected"),
    [
        ("2022-10-01", ("between-versions", 1, None)),
        ("2023-04-30", ("between-versions", 1, None)),
        ("2022-04-30", ("before-start", 1, None)),
        ("2023-10-01", ("after-end", 1, None)),
    ],
)
def test_gap_between_versions(date: str, expected: tuple[str, float, None]) -> None:
    assert measure_of({"date": date}, versions=GAP) == expected


def test_superseded_version_does_not_come_back() -> None:
    """The second starts before the first ends, and ends before it: nothing is valid after it."""
    versions = [{"start": "2023-01-01", "end": "2023-12-31"}, {"start": "2023-03-01", "end": "2023-04-30"}]
    assert of({"date": "2023-02-28"}, versions=versions) == COVERED
    assert measure_of({"date": "2023-05-01"}, versions=versions) == ("after-end", 1, None)


def test_versions_with_one_start_are_an_error() -> None:
    with pytest.raises(EngineError, match="P-1"):
        judged([{}], [a_paper(versions=[{"start": "2023-01-01"}, {"start": "2023-01-01", "end": "2023-02-01"}])])


@pytest.mark.parametrize(
    ("date", "expected"),
    [
        ("2023-09-30", ("cannot-tell", "start-unknown")),
        ("1900-01-01", ("cannot-tell", "start-unknown")),
        ("2023-10-01", ("outside", "after-end")),
        ("2023-09-30/2023-10-01", ("straddles", "straddles")),
        ("2023-09/2023-10", ("cannot-tell", "date-vague")),
    ],
)
def test_unknown_start(date: str, expected: tuple[str, ...]) -> None:
    assert of({"date": date}, start=None, end="2023-09-30") == expected


@pytest.mark.parametrize(
    ("date", "expected"),
    [
        ("", "date-missing"),
        ("illegible", "date-unreadable"),
        ("conflict", "date-conflict"),
        ("2023-05-01/..", "date-vague"),
    ],
)
def test_dates_that_are_not_known(date: str, expected: str) -> None:
    assert of({"date": date}, **SEASON) == ("cannot-tell", expected)


def test_open_date_inside_an_open_paper() -> None:
    assert of({"date": "2023-06-01/.."}, start="2023-05-01", end=None) == COVERED
    assert of({"date": "../2023-06-01"}, start="2023-05-01", end=None) == ("cannot-tell", "date-vague")


@pytest.mark.parametrize("layer", ["export", "import", "transfer"])
def test_layer_is_held_against_its_own_day(layer: str) -> None:
    """A blank one is missing; the collecting date never stands in."""
    column = {"export": "exported", "import": "imported", "transfer": "transferred"}[layer]
    papers = [a_paper(layers=layer, **SEASON)]
    found = judged([{"date": "2023-06-01"}, {"date": "1990-01-01", column: "2023-06-01"}], papers, layer)
    assert [told(verdict) for verdict in found] == [("cannot-tell", "date-missing"), COVERED]


def test_cites_import_permit_is_held_against_arrival_and_others_against_departure() -> None:
    row = {"exported": "2023-09-30", "imported": "2023-10-01"}
    leaving = a_paper("E", layers="cites", kind="cites-export-permit", **SEASON)
    arriving = a_paper("I", layers="cites", kind="cites-import-permit", **SEASON)
    assert told(judged([row], [leaving], "cites")[0]) == COVERED
    assert told(judged([row], [arriving], "cites")[0]) == ("outside", "after-end")


PAPERS: dict[str, dict[str, Any]] = {
    "a season": SEASON,
    "open": {"start": "1900-01-01", "end": None},
    "unknown start": {"start": None, "end": "2023-05-01"},
    "leap day alone": {"start": "2024-02-29", "end": "2024-02-29"},
    "closed over the new year": {"start": "2023-01-01", "closed": ["11-15/02-29"]},
    "three versions": {"versions": [{"start": "2022-01-01"}, *GAP[1:], {"start": "2024-02-29"}]},
    "no valid day": {"start": "2023-05-01", "revoked": "2023-05-01"},
}


NEAR = {name: text for name, text in zoo.DATES.items() if not {"0", "1", "9", "."} & {text[:1]} or text == "illegible"}
"""The twin counts day by day: dates of this century alone; the far ones have tests of their own."""


@pytest.mark.parametrize("paper", PAPERS)
def test_zoo_agrees_with_the_twin(paper: str) -> None:
    rows = [{"date": text} for text in NEAR.values()]
    papers = [a_paper(**PAPERS[paper])]
    slow = judge(a_material(rows), papers, some_requirements(), Outlines(), HouseRules())
    for name, mine, theirs in zip(NEAR, judged(rows, papers), slow, strict=True):
        (expected,) = theirs.values()
        assert told(mine) == told(expected), name
        assert [(f.measure, f.against) for f in mine.findings] == [(f.measure, f.against) for f in expected.findings], (
            name
        )


@pytest.mark.parametrize(
    ("date", "paper", "expected"),
    [
        ("0001-01-02", {"start": "0001-01-01"}, COVERED),
        ("9999-12-30", {"start": "2023-01-01"}, COVERED),
        ("9999-12-30", {"start": "2023-01-01", "closed": ["12-01/12-31"]}, ("outside", "closed-season")),
        ("9999-12-30", {"start": "2023-01-01", "closed": ["11-15/02-29"]}, ("outside", "closed-season")),
        ("0001-01-02", {"start": "0001-01-01", "closed": ["11-15/02-29"]}, ("outside", "closed-season")),
        ("1800-01-01/2017-07-01", {"start": "1800-01-01", "end": "2017-07-01"}, COVERED),
        ("1800-01-01/2017-07-01", {"start": "1800-01-02"}, ("straddles", "straddles")),
    ],
)
def test_far_dates(date: str, paper: dict[str, Any], expected: tuple[str, ...]) -> None:
    """The first and last years of the calendar, and a run of two centuries."""
    assert of({"date": date}, **paper) == expected


def test_run_of_two_centuries_is_counted() -> None:
    """From 1800-01-01 to 2017-07-01: 217 years and 182 days, with 53 leap days (1900 had none): 79,440."""
    assert 217 * 365 + 53 + 182 == 79_440
    assert measure_of({"date": "1800-01-01/2017-07-01"}, start="2017-07-01") == ("straddles", 1, 79_440)
