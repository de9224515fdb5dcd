"""What somebody looks for, and where it stands in a text."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from governance.scans.reading.folding import LONGEST_WORD, Token, tokens

_MOST_PHRASES: Final = 20

_PARTS: Final = re.compile(r'["“”„«»]([^"“”„«»]*)(["“”„«»]|$)|([^\s"“”„«»]+)')


@dataclass(frozen=True)
class Phrase:
    """Words that stand one after the other. is_begun: the last may go on, because it is still being typed."""

    words: tuple[str, ...]
    is_begun: bool = False

    @property
    def folded(self) -> str:
        """As it stands in ``ScanPage.folded``."""
        return f" {' '.join(self.words)}{'' if self.is_begun else ' '}"

    def fits(self, found: Sequence[Token]) -> bool:
        """Whether these words of a text are it."""
        *before, last = self.words
        if [token.folded for token in found[:-1]] != before:
            return False
        return found[-1].folded.startswith(last) if self.is_begun else found[-1].folded == last


def phrases(text: str) -> tuple[Phrase, ...]:
    """What all must stand on a page: what is in quotes together, else word by word; the last word may be a beginning.

    What is written without a blank is one phrase: the parts of a number stay together.

    >>> [phrase.folded for phrase in phrases('LND-2024 "upper bridge" mona')]
    [' lnd 2024 ', ' upper bridge ', ' mona']
    """
    found = []
    text = text.removesuffix("*")
    for part in _PARTS.finditer(text):
        words = tuple(token.folded for token in tokens(part[1] if part[3] is None else part[3]))
        if words:
            is_begun = part.end() == len(text) and not part[2] and text[-1:].isalnum() and len(words[-1]) < LONGEST_WORD
            found.append(Phrase(words, is_begun))
    return tuple(dict.fromkeys(found))[:_MOST_PHRASES]


@dataclass(frozen=True)
class Hit:
    """Where a phrase stands in a text, from start to before end."""

    start: int
    end: int


def hits(text: str, wanted: Sequence[Phrase]) -> list[Hit]:
    """All places of all phrases, in the order of the text."""
    words = list(tokens(text))
    found = {
        Hit(words[at].start, words[at + len(phrase.words) - 1].end)
        for phrase in wanted
        for at in range(len(words) - len(phrase.words) + 1)
        if phrase.fits(words[at : at + len(phrase.words)])
    }
    return sorted(found, key=lambda hit: (hit.start, -hit.end))


@dataclass(frozen=True)
class Piece:
    """A piece of a snippet; is_hit: what was looked for."""

    text: str
    is_hit: bool = False


_AROUND: Final = 90
_LONGEST: Final = 280


def snippet(text: str, found: Sequence[Hit]) -> list[Piece]:
    """The text around the first hit, and around others that stand near it, with the hits apart."""
    if not found:
        return [Piece(_in_one_line(text[:_LONGEST]))]
    start = _word_start(text, max(0, found[0].start - _AROUND))
    near = [hit for hit in found if hit.end <= start + _LONGEST] or list(found[:1])
    end = _word_end(text, min(len(text), max(near[-1].end + _AROUND, start + _LONGEST // 2)))
    pieces, at = [Piece("… " if start else "")], start
    for hit in near:
        if hit.end <= at:
            continue
        begin = max(at, hit.start)
        pieces += [Piece(_in_one_line(text[at:begin])), Piece(_in_one_line(text[begin : hit.end]), is_hit=True)]
        at = hit.end
    pieces += [Piece(_in_one_line(text[at:end])), Piece(" …" if end < len(text) else "")]
    return [piece for piece in pieces if piece.text]


def _in_one_line(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def _word_start(text: str, at: int) -> int:
    """The beginning of the next word, unless the text begins here."""
    if at == 0:
        return 0
    blank = re.compile(r"\s").search(text, at, at + 30)
    return blank.end() if blank else at


def _word_end(text: str, at: int) -> int:
    blank = re.compile(r"\s").search(text, at, at + 30)
    return blank.start() if blank else min(len(text), at + 30)
