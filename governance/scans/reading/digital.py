"""The words that a PDF holds as text, with their places as the page is shown: turned and cropped."""

from __future__ import annotations

import ctypes
import unicodedata
from collections.abc import Iterator
from contextlib import closing
from typing import Any, Final

import pypdfium2.raw as pdfium

from governance.scans.reading.placed import Line, Word, in_reading_order

MOST_CHARACTERS: Final = 150_000
"""Of one page; a page of print has some 4,000. What stands beyond is left out: no index of PostgreSQL takes more than a
megabyte of words for one row."""

_GRID: Final = 1_000_000
"""Steps along each side of the page, into which the library places points as it would draw them."""

_FEW_LETTERS: Final = 40
_MOSTLY_PICTURE: Final = 0.5
_MOSTLY_UNKNOWN: Final = 0.3


def lines_of_page(page: Any) -> list[Line]:
    """The words of a page in reading order, line by line."""
    width, height = page.get_size()
    return in_reading_order([word for word in _words(page) if _is_shown(word)], aspect=width / height)


def speaks_for_itself(page: Any, lines: list[Line]) -> bool:
    """Whether the text of the page is what it shows. Else the page is a picture, to be recognised.

    A scanner's line at the edge of a picture is not the text of the page, nor are letters that no font explains.
    """
    text = "".join(word.text for line in lines for word in line)
    letters = sum(character.isalnum() for character in text)
    unknown = sum(_is_unknown(character) for character in text)
    if text and unknown > _MOSTLY_UNKNOWN * len(text):
        return False
    if letters >= _FEW_LETTERS:
        return True
    return _share_of_pictures(page) < _MOSTLY_PICTURE


def _words(page: Any) -> Iterator[Word]:
    place = _Places(page)
    with closing(page.get_textpage()) as textpage:
        letters: list[str] = []
        boxes: list[tuple[float, float, float, float]] = []
        for number in range(min(textpage.count_chars(), MOST_CHARACTERS)):
            character = _character(textpage, number)
            if character and not character.isspace():
                letters.append(character)
                boxes.append(place.box(textpage, number))
            elif character is not None and letters:
                yield _word(letters, boxes)
                letters, boxes = [], []
        if letters:
            yield _word(letters, boxes)


def _is_shown(word: Word) -> bool:
    """Whether any of it lies within the page as it is cropped."""
    return word.right > 0 and word.left < 1 and word.bottom > 0 and word.top < 1


def _word(letters: list[str], boxes: list[tuple[float, float, float, float]]) -> Word:
    left, top, right, bottom = zip(*boxes, strict=True)
    return Word(unicodedata.normalize("NFC", "".join(letters)), min(left), min(top), max(right), max(bottom))


def _character(textpage: Any, number: int) -> str | None:
    """One character; blank for what parts words, None for what is none (control characters, halves of pairs)."""
    code = pdfium.FPDFText_GetUnicode(textpage, number)
    if code in (0x02, 0xFFFE):  # how the library says: a hyphen at the end of a line
        return "-"
    if code in (0, 0xFFFF) or 0xD800 <= code <= 0xDFFF:
        return None
    character = chr(code)
    if character.isspace() or code in (0x200B, 0xFEFF):
        return " "
    return None if unicodedata.category(character) == "Cc" else character


class _Places:
    """Boxes of characters on the page as it is shown."""

    def __init__(self, page: Any) -> None:
        self._page = page
        self._box = pdfium.FS_RECTF()
        self._x, self._y = ctypes.c_int(), ctypes.c_int()

    def box(self, textpage: Any, number: int) -> tuple[float, float, float, float]:
        """Left, top, right, bottom, 0 to 1: the height of the font, so that the words of a line are of one height."""
        pdfium.FPDFText_GetLooseCharBox(textpage, number, self._box)
        x1, y1 = self._shown(self._box.left, self._box.top)
        x2, y2 = self._shown(self._box.right, self._box.bottom)
        return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)

    def _shown(self, x: float, y: float) -> tuple[float, float]:
        pdfium.FPDF_PageToDevice(self._page, 0, 0, _GRID, _GRID, 0, x, y, self._x, self._y)
        return self._x.value / _GRID, self._y.value / _GRID


def _is_unknown(character: str) -> bool:
    return character == "\ufffd" or unicodedata.category(character) in ("Co", "Cn")


def _share_of_pictures(page: Any) -> float:
    """How much of the page pictures cover; two that lie on each other count twice, which does no harm here."""
    area = 0.0
    for item in page.get_objects([pdfium.FPDF_PAGEOBJ_IMAGE], max_depth=3):
        left, bottom, right, top = item.get_bounds()
        area += abs((right - left) * (top - bottom))
    width, height = page.get_size()
    return area / (width * height)
