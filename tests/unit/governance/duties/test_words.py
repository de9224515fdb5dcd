"""Duties in words. The sentences were written by hand; the days are counted by hand where a comment says so."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from governance.duties.words import STATES, about_words, because_words, days_words
from governance.engine.duties import State, When

DAY = "2026-08-31"


@pytest.mark.parametrize(
    ("code", "values", "sentence"),
    [
        ("each-year", {"day": "2027-01-31", "month_day": "01-31"}, "Each year by 31 January."),
        ("each-year", {"day": "2027-02-28", "month_day": "02-29"}, "Each year by 29 February."),
        ("each-quarter", {"day": "2026-09-30", "number": 15, "unit": "days"},
         "15 days after the end of each quarter, here after 30 September 2026."),
        ("each-quarter", {"day": "2026-09-30"}, "On the last day of each quarter."),
        ("twice-a-year", {"day": "2026-06-30", "number": 1, "unit": "months"},
         "1 month after the end of each half-year, here after 30 June 2026."),
        ("after-issue", {"day": DAY, "number": 1, "unit": "years"}, "1 year after the day of issue, 31 August 2026."),
        ("after-expiry", {"day": DAY, "number": 30, "unit": "days"},
         "30 days after the last day of validity, 31 August 2026."),
        ("after-expiry", {"day": DAY}, "On the last day of validity, 31 August 2026."),
        ("after-collection", {"day": DAY, "number": 28, "unit": "days"},
         "28 days after the day of collecting, 31 August 2026."),
        ("after-last-field-day", {"day": DAY, "number": 3, "unit": "months", "label": "LMN-2024-038"},
         "3 months after the last day in the field, 31 August 2026. Counted for: LMN-2024-038."),
        ("after-publication", {"day": DAY, "number": 1, "unit": "days", "label": "Caddisflies of the Nazvri."},
         "1 day after the publication, 31 August 2026. Counted for: Caddisflies of the Nazvri."),
        ("after-use", {"day": DAY, "number": 2, "unit": "days"}, "2 days after the use, 31 August 2026."),
        ("before-entry", {"day": DAY, "number": 7, "unit": "days"},
         "7 days before the first day in the field, 31 August 2026."),
        ("before-leaving", {"day": DAY}, "Before the day of leaving, 31 August 2026."),
        ("on-a-day", {"day": DAY}, "Once, by 31 August 2026."),
        ("day-not-known", {"of": "after-expiry", "number": 30, "unit": "days"},
         "30 days after the last day of validity, which is not known here."),
        ("day-not-known", {"of": "after-issue"}, "The day of issue is not known here."),
        ("day-not-known", {"of": "before-entry", "number": 7, "unit": "days", "label": "FP-2027-01"},
         "7 days before the first day in the field, which is not known here. Counted for: FP-2027-01."),
    ],
)  # fmt: skip
def test_why_on_that_day(code: str, values: dict[str, Any], sentence: str) -> None:
    assert because_words({"code": code, "values": values}) == sentence


@pytest.mark.parametrize("when", When)
def test_every_code_has_its_words(when: When) -> None:
    """A code that is new must not show as "not recorded", known day or not."""
    values = {"day": DAY, "month_day": "08-31", "number": 5, "unit": "days"}
    assert "record" not in because_words({"code": when.value, "values": values})
    assert "which is not known here" in because_words({"code": "day-not-known", "values": values | {"of": when.value}})


@pytest.mark.parametrize("because", [{}, {"code": "of-another-version"}, {"code": "after-issue", "values": {}}])
def test_what_cannot_be_read_is_said(because: dict[str, Any]) -> None:
    assert "not recorded" in because_words(because)


def test_every_state_has_a_name() -> None:
    assert set(STATES) == set(State)
    assert next(iter(STATES)) == State.LATE


@pytest.mark.parametrize(
    ("due", "words"),
    [
        (None, ""), (date(2026, 11, 25), "1 day late"), (date(2026, 11, 26), "today"),
        (date(2026, 11, 27), "in 1 day"), (date(2026, 12, 26), "in 30 days"),
        (date(2022, 11, 26), "1,461 days late"),  # 4 * 365 + 1 for 29 February 2024
    ],
)  # fmt: skip
def test_days_late_and_left(due: date | None, words: str) -> None:
    assert days_words(due, date(2026, 11, 26)) == words


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (date(2026, 1, 1), date(2026, 12, 31), "2026"),
        (date(2026, 7, 1), date(2026, 9, 30), "1 July to 30 September 2026"),
        (date(2025, 12, 11), date(2026, 12, 10), "11 December 2025 to 10 December 2026"),
        (None, None, ""),
    ],
)
def test_the_time_it_is_about(first: date | None, last: date | None, words: str) -> None:
    assert about_words(first, last) == words
