"""Days moved to another season. Weekdays by hand: 3 June 2027 is a Thursday (1 January 2027 is a Friday)."""

from __future__ import annotations

from datetime import date

import pytest

from governance.plans.moved_days import Shift


def test_by_a_year_the_date_stays() -> None:
    assert Shift(years=1).of(date(2027, 6, 3)) == date(2028, 6, 3)


def test_the_leap_day_becomes_the_28th() -> None:
    assert Shift(years=1).of(date(2028, 2, 29)) == date(2029, 2, 28)
    assert Shift(years=4).of(date(2028, 2, 29)) == date(2032, 2, 29)


def test_by_days_over_the_end_of_february() -> None:
    assert Shift(days=1).of(date(2028, 2, 28)) == date(2028, 2, 29)
    assert Shift(days=1).of(date(2027, 2, 28)) == date(2027, 3, 1)


@pytest.mark.parametrize("years", [1, 2, 5, -1])
def test_on_the_same_weekday_a_first_day_moves_by_whole_weeks(years: int) -> None:
    first = date(2027, 6, 3)
    moved = Shift(years=years).on_same_weekdays(first).of(first)
    assert moved.isoweekday() == 4  # Thursday
    assert abs((moved - Shift(years=years).of(first)).days) <= 3


def test_a_day_that_is_not_fixed_stays_so() -> None:
    assert Shift(years=1).of_maybe(None) is None


@pytest.mark.parametrize(
    ("text", "moved"),
    [
        ("2027-06-20", "2028-06-20"),
        ("2027-06-20/2027-06-22", "2028-06-20/2028-06-22"),
        ("2027-06", ""),  # known to the month alone: which day is not ours to say
        ("end of June", ""),
        ("2027-06-20?", ""),
        ("", ""),
    ],
)
def test_a_day_as_a_delivery_writes_it(text: str, moved: str) -> None:
    assert Shift(years=1).of_text(text) == moved
