"""The words of the pack in a language. A language is a file in ``words``."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from governance.papers.printed.language import PrintedLanguage, language_in
from governance.plans.models import PlanLanguage

_FOLDER: Final = Path(__file__).parent / "words"

PackLanguage = PrintedLanguage


def language(code: str) -> PackLanguage:
    """The words of one of ``PlanLanguage``.

    >>> language("pt").number(12345), language("es").number(2.5, 1)
    ('12\xa0345', '2,5')

    Raises:
        FileNotFoundError: there is no file of that language.
    """
    return language_in(_FOLDER, code)


def languages() -> list[tuple[str, str]]:
    """The languages that can be chosen: those of plans that have a file."""
    return [(code, label) for code, label in PlanLanguage.choices if (_FOLDER / f"{code}.yaml").exists()]
