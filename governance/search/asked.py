"""What somebody looks for, and whether a text holds it: without regard to case, accents, dashes and dots.

The letters are folded as in the search over scans. A text is taken apart at its blanks alone, and what stands between
two blanks is closed up: "COL-2022/012" is one word, found by "col2022", by "2022-012" and by "COL/2022".
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import IntEnum
from itertools import accumulate
from typing import Any, Final

from governance.scans.reading.folding import fold
from governance.scans.reading.wanted import Hit as Place
from governance.scans.reading.wanted import Piece, snippet

LONGEST: Final = 200
"""Characters of a search that are read."""

_DASHES: Final = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2212"), "-")
"""What word processors make of a hyphen: the numbers of the register have plain ones."""
_CHUNK: Final = re.compile(r"\S+")
_AROUND: Final = ".,;:!?()[]“”„«»\"'"
"""What may stand around a word and is not marked with it."""


@dataclass(frozen=True)
class Asked:
    """What was typed. words: folded, each of which must be found; number: all of it closed up, as one number."""

    text: str
    words: tuple[str, ...]
    number: str

    @classmethod
    def of(cls, text: str) -> Asked:
        """Read what was typed.

        >>> Asked.of("  COL-2022 Hällsjön ").words
        ('col2022', 'hallsjon')
        """
        text = " ".join(text.replace("\0", " ").translate(_DASHES).split())[:LONGEST].strip()
        words = tuple(dict.fromkeys(word for chunk in text.split() if (word := fold(chunk))))
        return cls(text, words, fold(text))

    @property
    def is_blank(self) -> bool:
        """Whether no letter or digit is in it."""
        return not self.words


class Rank(IntEnum):
    """How near a thing is to what was asked; the nearest first."""

    EXACT = 0
    NUMBER_BEGINS = 1
    NUMBER_HOLDS = 2
    WORDS_BEGIN = 3
    WORDS = 4


def folded(text: str) -> str:
    """A text as it is compared: its chunks folded, with a blank between.

    >>> folded("Person, A. B.")
    'person a b'
    """
    return " ".join(map(fold, text.split()))


def rank_of(asked: Asked, number: str, text: str) -> Rank | None:
    """How near a thing with this number and these words is; None if it is not meant."""
    closed_up = fold(number) if number else ""
    if closed_up and asked.number in closed_up:
        rank = _rank_of_number(asked.number, closed_up)
        return rank if rank is not Rank.EXACT or _partings(asked.text) <= _partings(number) else Rank.NUMBER_BEGINS
    compared = folded(f"{number} {text}")
    if not all(word in compared for word in asked.words):
        return None
    return Rank.WORDS_BEGIN if folded(text).startswith(asked.words[0]) else Rank.WORDS


def _rank_of_number(asked: str, number: str) -> Rank:
    if asked == number:
        return Rank.EXACT
    return Rank.NUMBER_BEGINS if number.startswith(asked) else Rank.NUMBER_HOLDS


def _partings(number: str) -> set[int]:
    """After how many figures a number is parted. What is typed may leave a mark out, but "1/12" is not 11/2, nor 112.

    >>> _partings("PA-2024/01-7")
    {4, 6}
    """
    ends = list(accumulate(map(len, re.findall(r"\d+", number))))
    return set(ends[:-1])


def ranked(rows: Iterable[tuple[Any, str, str]], asked: Asked) -> list[tuple[Rank, Any]]:
    """Keys with their rank, the nearest first, else in the order of the rows: key, number, all its other words."""
    if asked.is_blank:
        return []
    found = [(rank, key) for key, number, text in rows if (rank := rank_of(asked, number, text)) is not None]
    return sorted(found, key=lambda pair: pair[0])


def marked(text: str, asked: Asked) -> list[Piece]:
    """A text, or what of it stands around the first place, with the words that were asked for apart; [] if none is."""
    places = list(_places(text, asked))
    return snippet(text, places) if places else []


def _places(text: str, asked: Asked) -> Iterator[Place]:
    for chunk in _CHUNK.finditer(text):
        word = fold(chunk[0])
        if any(wanted in word for wanted in asked.words):
            inner = chunk[0].strip(_AROUND)
            start = chunk.start() + chunk[0].index(inner)
            yield Place(start, start + len(inner))
