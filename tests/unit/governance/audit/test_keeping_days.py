"""The last day of keeping, against python-dateutil."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given, settings
from hypothesis import strategies as st

from governance.engine.keeping import MOST_YEARS, kept_until, may_go
from governance.jurisdictions.keeping import keeping_defaults


@settings(max_examples=60)
@given(st.dates(date(1800, 1, 1), date(2200, 12, 31)), st.integers(0, MOST_YEARS))
def test_as_dateutil_counts(since: date, years: int) -> None:
    assert kept_until(since, years) == since + relativedelta(years=years)


@pytest.mark.parametrize(("since", "until"), [
    (date(2004, 2, 29), date(2024, 2, 29)),  # both are leap years
    (date(2080, 2, 29), date(2100, 2, 28)),  # 2100 is none: the last day of the month
    (date(2003, 2, 28), date(2023, 2, 28)),
    (date(1999, 12, 31), date(2019, 12, 31)),
])  # fmt: skip
def test_twenty_years_by_hand(since: date, until: date) -> None:
    """Regulation (EEC, Euratom) No 1182/71, Art. 3(2)(c), from memory: the day of the event is not counted, the last
    day is, and of a month without such a day the last one."""
    assert kept_until(since, 20) == until == since + relativedelta(years=20)
    assert not may_go(until, until) and may_go(until, until + timedelta(1))


def test_no_rule_of_a_thousand_years() -> None:
    assert kept_until(date(9990, 1, 1), 20) == date.max
    for years in (-1, MOST_YEARS + 1):
        with pytest.raises(ValueError, match="expected 0 to 500"):
            kept_until(date(2000, 1, 1), years)


def test_defaults_are_sourced_and_decide_nothing() -> None:
    """Article 4(6) of Regulation (EU) No 511/2014 was not read: no default may let a record go."""
    found = keeping_defaults()
    assert {key: one.years for key, one in found.items()} == {"abs": 20, "title": None, "other": 20, "person": 0}
    assert "511/2014" in found["abs"].source and not any(one.decides for one in found.values())
