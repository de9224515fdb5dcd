"""ISO 3166 codes: which exist, what they name, and which one a wrong code may have meant.

The bare codes are in ``data/iso3166.json`` (made by ``make_codes.py``): reading them through pycountry takes four
times as long, and most runs need no names.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

DARWIN_CORE_CODES: Mapping[str, str] = {"XZ": "high seas", "ZZ": "unknown or several countries"}
"""Codes that Darwin Core's countryCode allows beside ISO 3166-1; they name no country. Source: Darwin Core terms."""

_RETIRED_OR_OTHER = {"UK": "GB", "EL": "GR", "AN": "CW", "BU": "MM", "TP": "TL", "ZR": "CD", "DD": "DE", "FX": "FR"}
"""Codes of other lists, or withdrawn, with a present one. Source: ISO 3166-3 and EU style guide, from memory; only ever
a suggestion."""

_LONGEST = 60
"""Characters of a wrong code that are looked at: longer texts are no codes."""


@cache
def country_codes() -> frozenset[str]:
    """The 249 officially assigned alpha-2 codes of ISO 3166-1. XK (user-assigned), XZ and ZZ are not among them."""
    return frozenset(_alpha3().values())


@cache
def subdivision_codes() -> frozenset[str]:
    """The codes of ISO 3166-2, all levels, such as CR-A or GB-SCT."""
    return frozenset(str(_record()["subdivisions"]).split())


def is_country(code: str) -> bool:
    """Whether ``code`` is an alpha-2 code of ISO 3166-1, in capitals."""
    return code in country_codes()


def is_country_code_of_darwin_core(code: str) -> bool:
    """Whether ``code`` may stand in countryCode: ISO 3166-1 alpha-2, or XZ or ZZ."""
    return code in DARWIN_CORE_CODES or is_country(code)


def is_subdivision(code: str) -> bool:
    """Whether ``code`` is a code of ISO 3166-2, in capitals."""
    return code in subdivision_codes()


def country_name(code: str) -> str:
    """English short name of a country, the code itself where it is none."""
    import pycountry  # 60 ms, and only pages and reports need names

    if code in DARWIN_CORE_CODES:
        return DARWIN_CORE_CODES[code]
    entry = pycountry.countries.get(alpha_2=code) if is_country(code) else None
    return code if entry is None else str(entry.name)


def subdivision_name(code: str) -> str:
    """Name of a subdivision as ISO 3166-2 has it, the code itself where it is none."""
    import pycountry

    entry = pycountry.subdivisions.get(code=code) if is_subdivision(code) else None  # type: ignore[no-untyped-call]
    return code if entry is None else str(entry.name)


def nearest(code: str) -> str | None:
    """A code that a wrong one may have meant, for the sentence of an error; None where nothing is near.

    Knows other spellings (``gl``, ``US_MT``), alpha-3 codes (GRL: GL), codes of other lists (UK: GB), English names
    (Austria: AT), and for subdivisions the likeliest code of the same country. Never applied silently.
    """
    text = code.strip()[:_LONGEST].upper().replace("_", "-").replace(" - ", "-")
    if is_country(text) or is_subdivision(text):
        return text
    if text in _alpha3() or text in _RETIRED_OR_OTHER:
        return _alpha3().get(text) or _RETIRED_OR_OTHER[text]
    if text[2:3] == "-" and is_country(text[:2]):
        return _near_subdivision(text)
    return _by_name(text) if len(text) > 3 else None


def _near_subdivision(text: str) -> str | None:
    import difflib

    siblings = sorted(other for other in subdivision_codes() if other.startswith(text[:3]))
    tails = {other[3:]: other for other in siblings}
    found = difflib.get_close_matches(text[3:].lstrip("0"), list(tails), n=1, cutoff=0.6)
    return tails[found[0]] if found else None


def _by_name(text: str) -> str | None:
    import pycountry

    entry = pycountry.countries.get(name=text) or pycountry.countries.get(common_name=text)
    return None if entry is None else str(entry.alpha_2)


@cache
def _alpha3() -> Mapping[str, str]:
    found: dict[str, str] = _record()["alpha3"]
    return found


@cache
def _record() -> dict[str, Any]:
    path = Path(__file__).parent / "data" / "iso3166.json"
    record: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return record
