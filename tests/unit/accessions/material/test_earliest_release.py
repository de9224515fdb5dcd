"""From which day on the hours of a quarantine have passed for certain.

The hour at which material went in is not recorded. It may have been the last of its day, so the count starts at the
midnight after it: 72 hours from there are three whole days, and the fourth day is the first on which they are over.
Source of the rounding: hand arithmetic of the worst case, shown with each row.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

from accessions.material.models import Delivery

WENT_IN = date(2024, 6, 3)


@pytest.mark.parametrize(
    ("hours", "first"),
    [
        (None, date(2024, 6, 4)),  # nothing is asked for: the day after
        (1, date(2024, 6, 5)),  # in at 23:59:59 on the 3rd, over at 00:59:59 on the 4th: the 5th is the next whole day
        (24, date(2024, 6, 5)),  # over at 23:59:59 on the 4th
        (25, date(2024, 6, 6)),  # over on the 5th
        (72, date(2024, 6, 7)),  # over at 23:59:59 on the 6th
        (73, date(2024, 6, 8)),
        (336, date(2024, 6, 18)),  # two weeks: over at 23:59:59 on the 17th
    ],
)
def test_first_day(hours: int | None, first: date) -> None:
    assert Delivery(quarantine_in_on=WENT_IN, treatment_hours=hours).earliest_release_on == first


@pytest.mark.parametrize("hours", [1, 23, 24, 25, 48, 71, 72, 73, 96, 144, 240, 336])
def test_hours_have_passed_whatever_the_hour_of_the_day(hours: int) -> None:
    """Checked against the clock: in with the last second of the day, out with the first of the day of release."""
    released = Delivery(quarantine_in_on=WENT_IN, treatment_hours=hours).earliest_release_on
    assert released is not None
    went_in = datetime.combine(WENT_IN, datetime.max.time())
    assert datetime.combine(released, datetime.min.time()) - went_in >= timedelta(hours=hours)


def test_over_new_year_and_the_leap_day() -> None:
    """In on 28 February 2024 for 48 hours: the 29th and 1 March are two whole days, so 2 March."""
    assert Delivery(quarantine_in_on=date(2024, 2, 28), treatment_hours=48).earliest_release_on == date(2024, 3, 2)
    assert Delivery(quarantine_in_on=date(2023, 12, 31), treatment_hours=24).earliest_release_on == date(2024, 1, 2)


def test_in_no_quarantine() -> None:
    assert Delivery(quarantine_waived="in ethanol").earliest_release_on is None


@pytest.mark.parametrize(
    ("fields", "unreleased"),
    [
        ({"entry_number": "E-2024-001"}, True),
        ({"entry_number": "E-2024-001", "quarantine_in_on": WENT_IN, "quarantine_out_on": WENT_IN}, True),
        ({"entry_number": "E-2024-001", "released_at": datetime(2024, 6, 7)}, False),
        ({"quarantine_in_on": WENT_IN}, True),  # entered without a receipt, and still in
        ({"quarantine_in_on": WENT_IN, "quarantine_out_on": WENT_IN}, False),
        ({}, False),  # nothing is known of its quarantine, so nothing is claimed
    ],
)
def test_unreleased(fields: dict[str, object], unreleased: bool) -> None:
    assert Delivery(**fields).is_unreleased is unreleased
