"""Currencies: which codes of ISO 4217 are money, and what they name. The list is that of pycountry."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Final

NO_MONEY: Final = frozenset({"XXX", "XTS", "XAU", "XAG", "XPT", "XPD", "XBA", "XBB", "XBC", "XBD"})
"""Codes of ISO 4217 that nobody pays in: no currency, tests, precious metals, units of the bond markets."""


@cache
def currencies() -> Mapping[str, str]:
    """English names by code, in the order of the codes."""
    import pycountry  # 60 ms, and only forms and pages of benefits need names

    found = {str(one.alpha_3): str(one.name) for one in pycountry.currencies if one.alpha_3 not in NO_MONEY}
    return MappingProxyType(dict(sorted(found.items())))


def is_currency(code: str) -> bool:
    """Whether ``code`` is money by ISO 4217, in capitals."""
    return code in currencies()


def currency_name(code: str) -> str:
    """English name of a currency, the code itself where it is none."""
    return currencies().get(code, code)


def currency_meant(text: str) -> str:
    """The code that somebody typed: "eur", "EUR" and "Euro (EUR)" are all EUR; "" where it is none.

    >>> currency_meant("nok"), currency_meant("Norwegian Krone (NOK)"), currency_meant("kroner")
    ('NOK', 'NOK', '')
    """
    code = text.strip().upper()
    if code.endswith(")") and "(" in code:
        code = code.rpartition("(")[2].rstrip(")").strip()
    if is_currency(code):
        return code
    by_name = {name.upper(): one for one, name in currencies().items()}
    return by_name.get(text.strip().upper(), "")
