"""How names and codes are matched: without regard to case and blanks (VERDICTS, section 8)."""

from __future__ import annotations


def folded(text: str) -> str:
    """Case, surrounding and repeated blanks folded away.

    >>> folded("  Calopteryx   Splendens ")
    'calopteryx splendens'
    """
    return " ".join(text.split()).casefold()
