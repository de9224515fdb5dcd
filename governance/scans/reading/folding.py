"""Words as the search compares them: small letters without accents, ligatures taken apart, one blank between."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

LONGEST_WORD: Final = 100
"""Letters of a word that are compared: indexes refuse words of thousands of letters, which are none."""

_OWN_LETTERS: Final = str.maketrans(
    {"æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ħ": "h", "ı": "i", "ŋ": "n"}
)
"""Letters that Unicode does not take apart, by what people type who have no such key."""


@dataclass(frozen=True)
class Token:
    """A word: where it stands in the text, and how it is compared."""

    start: int
    end: int
    folded: str


def tokens(text: str) -> Iterator[Token]:
    """The words of a text in its order. A word divided at the end of a line is one word.

    >>> [token.folded for token in tokens("LND-2024/117: Autorización de colecta")]
    ['lnd', '2024', '117', 'autorizacion', 'de', 'colecta']
    >>> [token.folded for token in tokens("the ﬁeld collec-\\ntion")]
    ['the', 'field', 'collection']
    """
    held: Token | None = None
    for start, end in _runs(text):
        folded = fold(text[start:end])
        if not folded:
            continue
        if held and _is_divided(text, held.end, start):
            held = Token(held.start, end, (held.folded + folded)[:LONGEST_WORD])
            continue
        if held:
            yield held
        held = Token(start, end, folded)
    if held:
        yield held


def folded_words(text: str) -> str:
    """All words of a text with one blank before, between and after them; "" if there is none.

    >>> folded_words("Straße, 3/7")
    ' strasse 3 7 '
    """
    words = " ".join(token.folded for token in tokens(text))
    return f" {words} " if words else ""


@lru_cache(maxsize=20_000)
def fold(word: str) -> str:
    """One word, or "" if no letter or digit is in it."""
    plain = unicodedata.normalize("NFKD", word.casefold()).casefold().translate(_OWN_LETTERS)
    return "".join(filter(str.isalnum, plain))[:LONGEST_WORD]


def _runs(text: str) -> Iterator[tuple[int, int]]:
    """Where letters and digits stand together, with the accents that are written as characters of their own."""
    start: int | None = None
    for place, character in enumerate(text):
        if character.isalnum() or (start is not None and _joins(character)):
            start = place if start is None else start
        elif start is not None:
            yield start, place
            start = None
    if start is not None:
        yield start, len(text)


def _joins(character: str) -> bool:
    """Accents, and the soft hyphen that shows only at the end of a line."""
    return character == "\u00ad" or unicodedata.category(character).startswith("M")


def _is_divided(text: str, end: int, start: int) -> bool:
    """Whether a hyphen and the end of a line stand between, a small letter follows and a letter goes before.

    Numbers of papers keep their parts: "LND-" at the end of a line and "2024" on the next are two words, as on one.
    """
    between = text[end:start]
    return (
        len(between) <= 4
        and between[:1] in ("-", "\u2010")
        and between[1:].strip() == ""
        and "\n" in between
        and text[end - 1].isalpha()
        and text[start].islower()
    )
