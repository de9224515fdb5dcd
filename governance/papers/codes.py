"""Codes of countries and subdivisions (ISO 3166), and the nearest known word to one that is not known."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from difflib import get_close_matches
from functools import cache

from accessions.intake.problems import shown
from governance.papers.document import Node


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word that is most like this one; "" if none is. Case counts little."""
    by_fold: dict[str, str] = {}
    for item in known:
        by_fold.setdefault(item.casefold(), item)
    close = get_close_matches(word[:60].strip().casefold(), by_fold, 1, 0.5)
    return by_fold[close[0]] if close else ""


def advice(word: str, known: Collection[str], otherwise: str) -> str:
    """What to do about an unknown word: the nearest known one if any, and the rule."""
    near = nearest(word, known)
    return f"The nearest known one is {shown(near)}. {otherwise}" if near else otherwise


@cache
def country_codes() -> frozenset[str]:
    """ISO 3166-1 alpha-2 codes."""
    import pycountry

    return frozenset(country.alpha_2 for country in pycountry.countries)


@cache
def subdivision_codes() -> frozenset[str]:
    """ISO 3166-2 codes."""
    import pycountry

    return frozenset(subdivision.code for subdivision in pycountry.subdivisions)


@cache
def _country_names() -> dict[str, str]:
    import pycountry

    return {name.casefold(): c.alpha_2 for c in pycountry.countries for name in (c.name, c.alpha_3)}


def country(node: Node) -> str:
    """The country code of a node, "" where absent; an unknown one is an error."""
    code = node.text()
    if code and code not in country_codes():
        by_name = _country_names().get(code.casefold())
        rule = "Countries are ISO 3166-1 alpha-2 codes in capitals, such as CR."
        expected = f'The nearest known one is "{by_name}". {rule}' if by_name else advice(code, country_codes(), rule)
        node.problem(f"{shown(code)} is no known country code", expected)
    return code


def subdivision(node: Node) -> str:
    """The subdivision code of a node, "" where absent; an unknown one is an error."""
    code = node.text()
    if code and code not in subdivision_codes():
        same_country = [known for known in subdivision_codes() if known[:3] == code[:3].upper()]
        node.problem(
            f"{shown(code)} is no known subdivision code",
            advice(
                code,
                same_country or subdivision_codes(),
                "Subdivisions are ISO 3166-2 codes in capitals, such as CR-A.",
            ),
        )
    return code


def jurisdiction(node: Node) -> str:
    """The code of a country or subdivision, "" where absent."""
    return subdivision(node) if isinstance(node.value, str) and "-" in node.value else country(node)
