"""Dates of labels in standard form: offered where one reading is possible, or by an order that a person chose."""

from __future__ import annotations

import pytest

from accessions.values.label_forms import DateOrder, is_in_either_order, standard_form


@pytest.mark.parametrize(
    ("text", "standard"),
    [
        ("12.VI.2019", "2019-06-12"),
        ("3 May 1998", "1998-05-03"),
        ("25/06/2019", "2019-06-25"),  # there is no month 25
        ("24.ix-8.x.2023", "2023-09-24/2023-10-08"),
        ("June 2019", "2019-06"),  # no day is made up
        ("2019-06-12", ""),  # in standard form already
        ("", ""),
        ("5.6.98", ""),  # the century is not written
        ("spring 1910", ""),
        ("31/04/2019", ""),  # April has 30 days
        ("05/06/2019", ""),  # 5 June or 6 May
    ],
)
def test_one_reading_has_a_form_without_any_choice(text: str, standard: str) -> None:
    assert standard_form(text) == standard


@pytest.mark.parametrize(
    ("order", "standard"), [(DateOrder.DAY_MONTH, "2019-06-05"), (DateOrder.MONTH_DAY, "2019-05-06")]
)
@pytest.mark.parametrize("text", ["05/06/2019", "5.6.2019", "5-6-2019"])
def test_the_order_decides_where_both_are_possible(text: str, order: DateOrder, standard: str) -> None:
    assert standard_form(text, order) == standard


@pytest.mark.parametrize("order", DateOrder)
def test_an_order_turns_no_date_that_has_one_reading(order: DateOrder) -> None:
    assert standard_form("25/06/2019", order) == "2019-06-25"
    assert standard_form("06/25/2019", order) == "2019-06-25"


def test_either_order_needs_two_days_that_differ() -> None:
    assert is_in_either_order("05/06/2019")
    assert not is_in_either_order("05/05/2019")
    assert not is_in_either_order("25/06/2019")
    assert not is_in_either_order("05/06/0098")
    assert not is_in_either_order("5" * 100_000)
