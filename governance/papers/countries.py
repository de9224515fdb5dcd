"""Countries, provinces and currencies in words, in the language of the reader.

The names in other languages than English are those of the Debian project's iso-codes, which come with pycountry.
"""

from __future__ import annotations

import gettext
from functools import cache

from django.utils.translation import get_language

from governance.jurisdictions import codes, currencies

_ENGLISH = "en"


def country_name(code: str) -> str:
    """Short name of a country, the code itself where it is none."""
    return _country(code, _reader())


def subdivision_name(code: str) -> str:
    """Name of a subdivision, the code itself where it is none."""
    return _names("iso3166-2", _reader()).gettext(codes.subdivision_name(code))


def currency_name(code: str) -> str:
    """Name of a currency, the code itself where it is none."""
    return _names("iso4217", _reader()).gettext(currencies.currency_name(code))


def country_words(code: str) -> str:
    """A country as its box shows it; "" where none is known."""
    if not code:
        return ""
    name = country_name(code)
    return f"{name} ({code})" if name != code else code


def countries_known() -> tuple[str, ...]:
    """All countries, for the list that a box offers."""
    return _known(_reader())


@cache
def _known(language: str) -> tuple[str, ...]:
    return tuple(sorted(map(country_words, codes.country_codes())))


def _reader() -> str:
    return get_language() or _ENGLISH


@cache
def _country(code: str, language: str) -> str:
    import pycountry  # 60 ms, and only pages and reports need names

    name = codes.country_name(code)
    entry = pycountry.countries.get(alpha_2=code) if name != code else None
    if entry is None or language == _ENGLISH:
        return name
    usual = getattr(entry, "common_name", entry.name)
    said = _names("iso3166-1", language).gettext(usual)
    return said if said != usual else name


@cache
def _names(standard: str, language: str) -> gettext.NullTranslations:
    """The names of a standard in a language; English where nobody has translated them."""
    import pycountry

    if language == _ENGLISH:
        return gettext.NullTranslations()
    return gettext.translation(standard, pycountry.LOCALES_DIR, languages=[language], fallback=True)
