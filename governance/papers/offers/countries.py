"""Countries by their names in the languages that are read (ISO 3166 in the translations of the iso-codes project)."""

from __future__ import annotations

import gettext
from collections.abc import Mapping
from functools import cache

from governance.papers.offers.cues import LANGUAGES, plain


def country_named(text: str) -> str:
    """Code of the country that a text names, "" if it names none.

    >>> country_named("Alemania"), country_named("Suède"), country_named("somewhere")
    ('DE', 'SE', '')
    """
    return _codes().get(" ".join(plain(text).split()).strip(" ."), "")


@cache
def _codes() -> Mapping[str, str]:
    import pycountry  # slow to import, and only offers need all names

    found: dict[str, str] = {}
    for language in LANGUAGES:
        names = gettext.translation("iso3166-1", pycountry.LOCALES_DIR, languages=[language], fallback=True)
        for country in pycountry.countries:
            for kind in ("name", "common_name", "official_name"):
                name = getattr(country, kind, "")
                if name:
                    found.setdefault(plain(names.gettext(name)), country.alpha_2)
    return found
