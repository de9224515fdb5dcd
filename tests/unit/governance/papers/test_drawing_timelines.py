"""Timelines in percent, and the validity of a paper as bars (the contract of verdicts, section 3)."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from governance.papers.drawing import Band, BandKind, Happening, TimeRow, draw_timeline, validity_bands
from governance.papers.drawing.axis import MOST_TICKS, Axis
from governance.papers.drawing.timeline import ASSUMED_WIDTH, CHARACTER_PERCENT, DrawnText
from governance.papers.drawing.validity import Pause, VersionDays, season_days

JUNE = (date(2024, 6, 1), date(2024, 6, 10))
"""Ten days: each is ten percent wide."""


def day(text: str) -> date:
    return date.fromisoformat(text)


def test_an_open_bar_reaches_to_today() -> None:
    """Open since 2020 and nothing after: an axis of the days alone would end a fortnight later, in January 2020."""
    still_open = TimeRow("Designation", bands=[Band(BandKind.IN_FORCE, day("2020-01-01"), None)])
    drawing = draw_timeline([still_open], today=day("2026-11-25"))
    assert drawing is not None and drawing.last > day("2026-11-25") and drawing.now is not None


def test_an_ended_bar_does_not_stretch_to_today() -> None:
    ended = TimeRow("Version 1", bands=[Band(BandKind.ENDED, day("2019-05-01"), day("2020-10-31"))])
    drawing = draw_timeline([ended], today=day("2026-11-25"))
    assert drawing is not None and drawing.last < day("2021-01-01") and drawing.now is None


def test_days_fall_on_tens_of_percents() -> None:
    axis = Axis.over(*JUNE)
    assert axis.left(day("2024-06-01")) == 0
    assert axis.right(day("2024-06-10")) == 100
    assert axis.middle(day("2024-06-05")) == 45
    assert (axis.left(None), axis.right(None)) == (0, 100)
    assert axis.left(day("2024-05-01")) == 0, "a bar from before the axis starts at its end"


def test_bar_and_day_on_the_axis() -> None:
    row = TimeRow(
        "Land",
        bands=[Band(BandKind.IN_FORCE, day("2024-06-03"), day("2024-06-05"))],
        happenings=[Happening(day("2024-06-08"))],
    )
    drawing = draw_timeline([row], first=JUNE[0], last=JUNE[1], today=day("2024-06-10"))
    assert drawing is not None
    (bar,), (dot,) = drawing.rows[0].bands, drawing.rows[0].dots
    assert (bar.x, bar.width) == (20, 30)
    assert dot.x == 75
    assert drawing.now == 95


def test_stretch_of_days_has_a_reach_and_open_bars_run_out() -> None:
    row = TimeRow(
        "", bands=[Band(BandKind.IN_FORCE, None, None)], happenings=[Happening(day("2024-06-02"), day("2024-06-05"))]
    )
    drawing = draw_timeline([row], first=JUNE[0], last=JUNE[1], today=day("2025-01-01"))
    assert drawing is not None
    assert (drawing.rows[0].bands[0].x, drawing.rows[0].bands[0].width) == (0, 100)
    assert (drawing.rows[0].dots[0].left, drawing.rows[0].dots[0].width) == (10, 40)
    assert drawing.now is None, "today is not on the axis"


def test_what_lies_off_the_axis_is_not_drawn() -> None:
    row = TimeRow("", bands=[Band(BandKind.IN_FORCE, day("2020-01-01"), day("2020-12-31"), "v1")])
    drawing = draw_timeline([row], first=JUNE[0], last=JUNE[1])
    assert drawing is not None
    assert not drawing.rows[0].bands and not drawing.rows[0].texts


def test_nothing_with_a_day_is_no_timeline() -> None:
    assert draw_timeline([TimeRow("Land")]) is None


def test_axis_leaves_room_around_the_days() -> None:
    drawing = draw_timeline([TimeRow("", happenings=[Happening(day("2024-06-01")), Happening(day("2024-06-30"))])])
    assert drawing is not None
    assert (drawing.first, drawing.last) == (day("2024-05-18"), day("2024-07-14"))


@pytest.mark.parametrize(
    ("first", "last", "ticks"),
    [
        (
            "2024-06-01",
            "2024-06-06",
            [f"2024-06-0{n}" for n in range(1, 8)],  # an axis holds a week at least
        ),
        ("2024-06-01", "2024-06-30", ["2024-06-01", "2024-06-08", "2024-06-15", "2024-06-22", "2024-06-29"]),
        ("2024-04-10", "2024-08-20", ["2024-05-01", "2024-06-01", "2024-07-01", "2024-08-01"]),
        ("2023-11-15", "2024-12-20", ["2024-01-01", "2024-04-01", "2024-07-01", "2024-10-01"]),
        ("2018-05-01", "2023-12-31", ["2019-01-01", "2020-01-01", "2021-01-01", "2022-01-01", "2023-01-01"]),
        ("1974-01-01", "2026-01-01", ["1980-01-01", "1990-01-01", "2000-01-01", "2010-01-01", "2020-01-01"]),
    ],
)
def test_ticks_suit_the_span(first: str, last: str, ticks: list[str]) -> None:
    found = [tick.day.isoformat() for tick in Axis.over(day(first), day(last)).ticks()]
    assert found == ticks


def test_last_month_gives_way_to_the_words_before_it() -> None:
    """January 2023 would be written to the left of its line, over December: of 123 days the ticks are at 0, 24.4, 49.6,
    74.0 and 99.2 percent.
    """
    found = [tick.day.isoformat() for tick in Axis.over(day("2022-09-01"), day("2023-01-01")).ticks()]
    assert found == ["2022-09-01", "2022-10-01", "2022-11-01", "2022-12-01"]


@given(st.dates(), st.integers(0, 400_000))
def test_ticks_are_few_and_in_order(first: date, days: int) -> None:
    last = first + timedelta(min(days, (date.max - first).days))
    ticks = Axis.over(first, last).ticks()
    assert len(ticks) <= MOST_TICKS
    assert [tick.day for tick in ticks] == sorted({tick.day for tick in ticks})
    assert all(0 <= tick.x <= 100 for tick in ticks)
    if last - first < timedelta(365 * 100):
        assert ticks, "an axis that one can live to see has ticks"


def extent(text: DrawnText) -> tuple[float, float]:
    """Where words stand, in percent, by the width of a letter that the drawing takes for granted."""
    long, left = len(text.text) * CHARACTER_PERCENT, text.x + text.dx / ASSUMED_WIDTH * 100
    return (left - long, left) if text.style.endswith("e") else (left, left + long)


@given(st.lists(st.tuples(st.integers(0, 120), st.text("abcdef 0123", min_size=1, max_size=20)), max_size=8))
def test_words_of_a_row_never_stand_on_one_another(days: list[tuple[int, str]]) -> None:
    start = day("2024-01-01")
    row = TimeRow("", happenings=[Happening(start + timedelta(n), label=text) for n, text in days])
    drawing = draw_timeline([row], first=start, last=start + timedelta(120))
    assert drawing is not None
    for one, other in combinations(drawing.rows[0].texts, 2):
        (a, b), (c, d) = extent(one), extent(other)
        assert one.y != other.y or b <= c + 0.02 or d <= a + 0.02, "places are rounded to hundredths"


def test_words_stand_in_a_bar_that_has_room_and_beside_one_that_has_not() -> None:
    long = Band(BandKind.IN_FORCE, day("2024-06-01"), day("2024-06-09"), "v1")
    short = Band(BandKind.IN_FORCE, day("2024-06-01"), day("2024-06-01"), "a name of some length")
    drawing = draw_timeline([TimeRow("", bands=[long]), TimeRow("", bands=[short])], first=JUNE[0], last=JUNE[1])
    assert drawing is not None
    assert drawing.rows[0].texts[0].style == "in"
    assert drawing.rows[1].texts[0].style == ""
    assert drawing.rows[1].texts[0].x == 10


def test_pause_is_laid_on_empty_paper() -> None:
    bands = validity_bands(
        [VersionDays(day("2024-06-01"), day("2024-06-10"))], [Pause(day("2024-06-04"), day("2024-06-05"))]
    )
    drawing = draw_timeline([TimeRow("", bands=bands)], first=JUNE[0], last=JUNE[1])
    assert drawing is not None
    assert [(band.style, band.x, band.width) for band in drawing.rows[0].bands] == [
        ("barr", 0, 100), ("hole", 30, 20), ("hatch", 30, 20),
    ]  # fmt: skip


V1, V2 = VersionDays(day("2024-05-01"), day("2024-08-31"), "v1"), VersionDays(day("2024-06-16"), None, "v2")


def test_version_ends_for_good_when_the_next_one_starts() -> None:
    """Nothing falls back to an older version: v1 holds to 15 June although it was written to August."""
    assert validity_bands([V2, V1]) == [
        Band(BandKind.IN_FORCE, day("2024-05-01"), day("2024-06-15"), "v1"),
        Band(BandKind.IN_FORCE, day("2024-06-16"), None, "v2"),
    ]


def test_unknown_start_counts_as_the_earliest() -> None:
    bands = validity_bands([V1, VersionDays(None, None, "v0")])
    assert [(band.label, band.first, band.last) for band in bands] == [
        ("v0", None, day("2024-04-30")),
        ("v1", day("2024-05-01"), day("2024-08-31")),
    ]


def test_revocation_ends_all_and_takes_away_what_had_not_begun() -> None:
    """From its first day on nothing is valid: the last valid day is the one before."""
    assert validity_bands([V1, V2], ended_on=day("2024-06-10")) == [
        Band(BandKind.IN_FORCE, day("2024-05-01"), day("2024-06-09"), "v1")
    ]


def test_suspension_over_two_versions_cuts_both() -> None:
    bands = validity_bands([V1, V2], [Pause(day("2024-06-10"), day("2024-06-20"))])
    assert [(band.kind.name, band.first, band.last) for band in bands] == [
        ("IN_FORCE", day("2024-05-01"), day("2024-06-15")),
        ("PAUSE", day("2024-06-10"), day("2024-06-15")),
        ("IN_FORCE", day("2024-06-16"), None),
        ("PAUSE", day("2024-06-16"), day("2024-06-20")),
    ]


def test_closed_season_wraps_and_knows_leap_years() -> None:
    """Contract, section 3: a start on 02-29 is 03-01 in a common year, an end on 02-29 is 02-28."""
    found = season_days((11, 1, 2, 29), day("2022-01-15"), day("2024-12-31"))
    assert [(pause.first.isoformat(), pause.last.isoformat() if pause.last else "") for pause in found] == [
        ("2021-11-01", "2022-02-28"),
        ("2022-11-01", "2023-02-28"),
        ("2023-11-01", "2024-02-29"),
        ("2024-11-01", "2025-02-28"),
    ]
    leap = season_days((2, 29, 3, 31), day("2023-01-01"), day("2024-12-31"))
    assert [pause.first for pause in leap] == [day("2023-03-01"), day("2024-02-29")]


def test_closed_seasons_of_an_open_version_are_drawn_within_the_axis() -> None:
    version = VersionDays(day("2020-01-01"), None, "v1", [(3, 1, 8, 31)])
    bands = validity_bands([version], within=(day("2024-01-01"), day("2025-12-31")))
    pauses = [band for band in bands if band.kind is BandKind.PAUSE]
    assert [pause.first for pause in pauses][-2:] == [day("2024-03-01"), day("2025-03-01")]
    assert validity_bands([version]) == [Band(BandKind.IN_FORCE, day("2020-01-01"), None, "v1")]
