"""What a code that was read means: which catalogue numbers it may be. Pure: no table is looked at here.

A reader types more than the number: blanks and control characters around it, the identifier of the symbology before it
(ISO/IEC 15424: "]", the letter of the symbology, a modifier), the start and stop signs of Code 39. A label may hold an
address or a URN that ends in the number. What lies inside the code, such as the fields of GS1, is not taken apart: a
number that is guessed could be that of another specimen.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final
from urllib.parse import unquote, urlsplit

LONGEST: Final = 300
"""Characters of a code that are kept."""

UNDO: Final = "undo"
"""Read in place of a number, this takes the last line out again: it can be printed and lie beside the reader."""

_SYMBOLOGY: Final = re.compile(r"\][A-Za-z][0-9A-Za-z]")
_OWN_PAGE: Final = re.compile(r"/specimens/([0-9]{1,18})/?")
_DASHES: Final = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2015\u2212"), "-")
"""What word processors make of a hyphen."""
_PICTURES: Final = {code: 0x2400 + code for code in range(0x20)} | {0x7F: 0x2421}
"""Control characters as the signs that stand for them (Unicode, block Control Pictures)."""


@dataclass(frozen=True)
class Code:
    """One code. shown: as lists show it. numbers: catalogue numbers that it may mean, as read first. key: of the
    specimen whose page in this register it is the address of."""

    shown: str
    numbers: tuple[str, ...] = ()
    key: int | None = None

    @property
    def is_blank(self) -> bool:
        return not self.shown

    @property
    def is_undo(self) -> bool:
        return any(number.casefold() == UNDO for number in self.numbers)


def read_code(raw: str, house: str = "") -> Code:
    """The meaning of what a reader typed, or of one line of a list.

    Args:
        house: host of this register, as its own addresses name it.

    >>> read_code("]C1LMN-FW-0241873\\r").numbers
    (']C1LMN-FW-0241873', 'LMN-FW-0241873')
    >>> read_code("  ").is_blank
    True
    """
    bare = _stripped(raw.encode("utf-8", "replace").decode())
    text = _SYMBOLOGY.sub("", bare, count=1) if _SYMBOLOGY.match(bare) else bare
    text = _unstarred(_stripped(text))
    shown = bare.translate(_PICTURES)[:LONGEST]
    if key := _own_key(text, house):
        return Code(shown, (), key)
    return Code(shown, tuple(dict.fromkeys(_numbers(bare, text))))


def _numbers(bare: str, text: str) -> Iterator[str]:
    for number in (bare, text, text.translate(_DASHES), _last_piece(text)):
        if number and "\0" not in number:  # which no number holds, and PostgreSQL takes in no text
            yield number


def _stripped(text: str) -> str:
    """Without blanks, control and format characters around it (Unicode categories Z, Cc, Cf)."""
    first, last = 0, len(text)
    while first < last and _is_around(text[first]):
        first += 1
    while last > first and _is_around(text[last - 1]):
        last -= 1
    return text[first:last]


def _is_around(character: str) -> bool:
    return unicodedata.category(character) in ("Zs", "Zl", "Zp", "Cc", "Cf")


def _unstarred(text: str) -> str:
    """Without the start and stop signs of Code 39, which some readers send. Common practice, no source."""
    return text[1:-1] if len(text) > 2 and text[0] == text[-1] == "*" else text


def _own_key(text: str, house: str) -> int | None:
    parts = _address(text)
    if not house or parts is None or parts[0].casefold() != house.casefold():
        return None
    found = _OWN_PAGE.fullmatch(parts[1])
    return int(found[1]) if found else None


def _last_piece(text: str) -> str:
    """Of an address or a URN the last piece; "" of anything else, and where there is none."""
    if text[:4].casefold() == "urn:":
        return _stripped(unquote(re.split(r"[?#]", text)[0].rpartition(":")[2]))
    parts = _address(text)
    pieces = [piece for piece in parts[1].split("/") if piece] if parts else []
    return _stripped(unquote(pieces[-1])) if pieces else ""


def _address(text: str) -> tuple[str, str] | None:
    """Host and path of an address of the web; None of anything else."""
    if text[:7].casefold() != "http://" and text[:8].casefold() != "https://":
        return None
    try:
        parts = urlsplit(text)
    except ValueError:  # such as a bracket that is not closed
        return None
    return parts.netloc, parts.path
