"""Countries written by their names, put as the codes that the register keeps."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Final

from accessions.intake.rows import FileRows

_TERM: Final = "countryCode"


@cache
def _code_of_name() -> dict[str, str]:
    """Names of ISO 3166-1 in English, folded, with their codes; a name that two countries have is none."""
    import pycountry

    found: dict[str, str] = {}
    for country in pycountry.countries:
        for kind in ("name", "common_name", "official_name"):
            if name := getattr(country, kind, ""):
                key = name.casefold()
                found[key] = country.alpha_2 if found.get(key, country.alpha_2) == country.alpha_2 else ""
    return found


def code_of_name(text: str) -> str:
    """The code of a country by its English name, the whole of it, in any case; "" where it is none.

    >>> code_of_name("sweden"), code_of_name("Swed"), code_of_name("SE")
    ('SE', '', '')
    """
    return _code_of_name().get(" ".join(text.split()).casefold(), "")


def with_country_codes(rows: FileRows) -> FileRows:
    """The rows with each name of a country put as its code; what is no name stays as it is. The names stay in the
    stored file, and ``country_names`` of the rows says which were read."""
    if _TERM not in rows.columns:
        return rows
    cells = rows.columns[_TERM]
    codes = {text: code for text in set(cells) if (code := code_of_name(text))}
    if not codes:
        return rows
    columns = {**rows.columns, _TERM: [codes.get(text, text) for text in cells]}
    return replace(rows, columns=columns, country_names=tuple(sorted(codes.items())))
