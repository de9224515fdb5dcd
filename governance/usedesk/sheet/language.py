"""The words of the sheet in a language. A language is a file in ``words``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from governance.engine.uses import Use
from governance.papers.printed.language import PrintedLanguage, language_in

_FOLDER: Final = Path(__file__).parent / "words"

LANGUAGES: Final[Mapping[str, str]] = {"en": "English", "es": "Español", "fr": "Français", "pt": "Português"}
"""By their codes (BCP 47), as they call themselves."""

_OF_COUNTRY: Final[Mapping[str, frozenset[str]]] = {
    "es": frozenset({
        "AR", "BO", "CL", "CO", "CR", "CU", "DO", "EC", "ES", "GQ", "GT", "HN", "MX", "NI", "PA", "PE", "PY", "SV",
        "UY", "VE",
    }),
    "fr": frozenset({"BJ", "BF", "CD", "CG", "CI", "FR", "GA", "GF", "GP", "MC", "MQ", "NC", "PF", "RE", "SN", "TG"}),
    "pt": frozenset({"AO", "BR", "CV", "GW", "MZ", "PT", "ST"}),
}  # fmt: skip
"""Countries where the language is official, from memory; only ever the first offer, the page has the choice."""


def language(code: str) -> PrintedLanguage:
    """The words of one of ``LANGUAGES``.

    Raises:
        FileNotFoundError: there is no file of that language.
    """
    return language_in(_FOLDER, code)


def language_for(country: str) -> str:
    """The language that a recipient in a country is offered first; English where none is known.

    >>> language_for("BR"), language_for("IS"), language_for("")
    ('pt', 'en', 'en')
    """
    return next((code for code, countries in _OF_COUNTRY.items() if country in countries), "en")


def use_word(w: PrintedLanguage, use: Use) -> str:
    """The kind of use."""
    return w.of("uses", use.code)


def counted(w: PrintedLanguage, key: str, n: int, **values: object) -> str:
    """A phrase with a number, in the singular for one."""
    return w(f"{key}_one", **values) if n == 1 else w(key, n=n, **values)
