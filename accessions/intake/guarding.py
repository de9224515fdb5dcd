"""Cells of CSV files that go to people and come back: nothing in them is run as a formula, nothing in them is lost."""

from __future__ import annotations

import re
from typing import Final

REASONS: Final = "to correct"
"""Header of the column of reasons, by which a file that was given back is known."""

_FORMULA: Final = re.compile(r"[=+\-@\t\r]")
_NUMBER: Final = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")
_GUARDED: Final = re.compile(r"'[=+\-@\t\r]")


def guarded(text: str) -> str:
    """The cell as a CSV file may hold it.

    >>> guarded("=1+1"), guarded("-84.08"), guarded("'=x")
    ("'=1+1", '-84.08', "''=x")
    """
    is_run = _FORMULA.match(text) and not _NUMBER.fullmatch(text)
    return f"'{text}" if is_run or _GUARDED.match(text) or text.startswith("''") else text


def unguarded(text: str) -> str:
    """The cell as it was before ``guarded``.

    >>> unguarded("'=1+1"), unguarded("'s Gravenland"), unguarded("''=x")
    ('=1+1', "'s Gravenland", "'=x")
    """
    return text[1:] if _GUARDED.match(text) or text.startswith("''") else text
