"""The key under which two ways to write one name meet."""

from __future__ import annotations

import unicodedata

KEY_LENGTH = 200
"""Characters of a key that are kept; folding can make a text longer than it was written."""


def fold_name(name: str) -> str:
    """The name without case, blanks, full stops and the order "Family, Given" (VERDICTS, section 6).

    It is the equality by which people of a record are held against people of a paper, so that an agent is found by
    every form that a paper would accept.

    >>> {fold_name(name) for name in ("Person, A. B.", "A.B. Person", "a b person")}
    {'abperson'}
    >>> fold_name(" . ")
    ''
    """
    family, comma, given = unicodedata.normalize("NFC", name).partition(",")
    words = f"{given} {family}" if comma else family
    return "".join(words.replace(".", " ").split()).casefold()[:KEY_LENGTH]
