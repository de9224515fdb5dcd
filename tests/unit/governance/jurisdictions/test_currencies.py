"""Currencies of ISO 4217, held against the list of pycountry and against codes that the standard itself explains."""

import pycountry
import pytest

from governance.jurisdictions.currencies import NO_MONEY, currencies, currency_meant, currency_name, is_currency


def test_every_code_of_the_standard_but_those_that_nobody_pays_in():
    """ISO 4217, list one: gold, silver, platinum, palladium, four bond units, tests and "no currency" are no money."""
    listed = {one.alpha_3: one.name for one in pycountry.currencies}
    assert set(listed) - set(currencies()) == NO_MONEY
    assert all(currency_name(code) == listed[code] for code in currencies())


@pytest.mark.parametrize("code", ["eur", "DEM", "EU", "XXX", "XAU", ""])
def test_what_is_no_currency(code):
    """The mark left the standard in 2002; codes are in capitals."""
    assert not is_currency(code)
    assert currency_name(code) == code


@pytest.mark.parametrize(
    ("text", "code"), [(" nok ", "NOK"), ("Norwegian Krone", "NOK"), ("Rand (ZAR)", "ZAR"), ("kroner", ""), ("", "")]
)
def test_what_somebody_typed(text, code):
    assert currency_meant(text) == code
