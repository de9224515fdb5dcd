"""Countries in words, as boxes show and offer them."""

from __future__ import annotations

from functools import cache

from governance.jurisdictions.codes import country_codes, country_name


def country_words(code: str) -> str:
    """A country as its box shows it; "" where none is known."""
    if not code:
        return ""
    name = country_name(code)
    return f"{name} ({code})" if name != code else code


@cache
def countries_known() -> tuple[str, ...]:
    """All countries, for the list that a box offers."""
    return tuple(sorted(map(country_words, country_codes())))
