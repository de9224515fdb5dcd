"""How codes and names of sites are matched. The room of names has its own: the two rooms do not know each other."""

from __future__ import annotations


def folded(text: str) -> str:
    """Case, surrounding and repeated blanks folded away (VERDICTS, section 8).

    >>> folded("  Hällsjön   Shore ")
    'hällsjön shore'
    """
    return " ".join(text.split()).casefold()
