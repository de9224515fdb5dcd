"""Whether a day, or a span of days, lies in the period of a report. Worked out by hand at the ends."""

from __future__ import annotations

from datetime import date

import pytest

from governance.reports.composing.scope import Period

YEAR = Period(date(2025, 1, 1), date(2025, 12, 31))


@pytest.mark.parametrize(
    ("first", "last", "code"),
    [
        ("2024-12-31", "2024-12-31", "outside"), ("2025-01-01", "2025-01-01", "in"), ("2025-12-31", "2025-12-31", "in"),
        ("2026-01-01", "2026-01-01", "outside"), ("2024-12-31", "2025-01-01", "maybe"),
        ("2025-12-31", "2026-01-01", "maybe"), ("2024-01-01", "2026-12-31", "maybe"), (None, None, "not-known"),
        (None, "2024-12-31", "outside"), (None, "2025-06-01", "maybe"), ("2026-01-01", None, "outside"),
        ("2025-06-01", None, "maybe"),
    ],
)  # fmt: skip
def test_of_span(first: str | None, last: str | None, code: str) -> None:
    days = [date.fromisoformat(day) if day else None for day in (first, last)]
    assert YEAR.of_span(*days) == code


def test_without_bounds_all_is_in() -> None:
    assert Period().of_span(None, None) == "in"
    assert Period().has(None)
    assert not YEAR.has(None)


def test_half_open() -> None:
    since = Period(first=date(2025, 1, 1))
    assert [since.of_span(day, day) for day in (date(2024, 12, 31), date(2099, 1, 1))] == ["outside", "in"]
