"""The same days by python-dateutil (``relativedelta``), a library that is not ours.

What this cannot show: where papers mean something else by "one month later" than the last day of a shorter month.
"""

from __future__ import annotations

from datetime import date

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from governance.engine.duties import Unit, add_months, in_year, later

days = st.dates(date(1800, 1, 1), date(2400, 12, 31))


@given(days, st.integers(-3000, 3000))
def test_months(day: date, months: int) -> None:
    assert add_months(day, months) == day + relativedelta(months=months)


@given(days, st.integers(-500, 500), st.sampled_from(Unit))
def test_days_months_and_years(day: date, number: int, unit: Unit) -> None:
    assert later(day, number, unit) == day + relativedelta(**{unit.value: number})  # type: ignore[arg-type]


@pytest.mark.parametrize("year", [1900, 2000, 2023, 2024, 2100])
def test_each_day_of_a_year(year: int) -> None:
    """All 366 days that a paper can name: ``relativedelta`` sets month and day, and keeps to the end of a month. 1900
    and 2100 are common years, 2000 and 2024 are not (Gregorian calendar)."""
    day = date(2024, 1, 1)
    while day.year == 2024:
        expected = date(year, 1, 1) + relativedelta(month=day.month, day=day.day)
        assert in_year(f"{day:%m-%d}", year) == expected
        day += relativedelta(days=1)
