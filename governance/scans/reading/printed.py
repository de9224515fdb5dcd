"""What a page says of itself: "Page 3 of 7" at its head or foot, in five languages.

The words are those that offices print (common practice, no source).
"""

from __future__ import annotations

import re
import unicodedata
from typing import Final

_HEAD_LINES: Final = 3
_LONGEST_LINE: Final = 200
_MOST_PAGES: Final = 1800
"""A larger number is a year."""

_NUMBERS = r"(?P<page>\d{1,4})\s{0,3}%s\s{0,3}(?P<of>\d{1,4})"
_OF = r"(?:/|of|de|del|sur|von|do|da|out of|di)"
_WORD = (
    r"(?:page|pages|p|pg|pp|sheet|pagina|paginas|pag|pags|hoja|folio|fol|folha|fl|fls|feuille|feuillet|f|seite|s|"
    r"blatt|bl)"
)
_BEFORE = r"(?:^|[^\w/.-])"
_AFTER = r"(?![\w/.-]?\d)(?!\w)"
_NAMED = re.compile(rf"{_BEFORE}{_WORD}\s{{0,2}}[.:]?\s{{0,3}}(?:n[.o]{{0,2}}\s)?{_NUMBERS % _OF}{_AFTER}")
_BARE = re.compile(rf"(?:^|[|·•\t]|\s{{3}})\W{{0,3}}{_NUMBERS % '(?:/|of|de|sur|von)'}\W{{0,3}}(?:$|[|·•\t]|\s{{3}})")
_REFERS = re.compile(r"\b(?:see|on|from|cf|siehe|auf|vgl|voir|ver|vide|vease|en|na|in|until|hasta|bis|ate|jusqu)\W*$")
"""Words before which speak of a page, and are not its number."""


def printed_page(text: str) -> tuple[int, int] | None:
    """The number of the page and how many there are, as printed; None if it does not say, or says two things.

    Only the first and the last lines are looked at: elsewhere such words speak of other pages.

    >>> printed_page("Permit LND-2024-117\\nPage 2 of 5")
    (2, 5)
    >>> printed_page("Permit 2/2024") is None
    True
    """
    lines = [line.strip(" ")[:_LONGEST_LINE] for line in text.splitlines() if line.strip()]
    ends = lines[:_HEAD_LINES] + lines[max(_HEAD_LINES, len(lines) - _HEAD_LINES) :]
    said = [found for line in ends for found in _named(_plain(line))]
    said = said or [found for line in ends for found in _bare(_plain(line))]
    return said[0] if len(set(said)) == 1 else None


def _plain(line: str) -> str:
    apart = unicodedata.normalize("NFKD", line.casefold())
    return "".join(character for character in apart if not unicodedata.combining(character))


def _named(line: str) -> list[tuple[int, int]]:
    found = [one for one in _NAMED.finditer(line) if not _REFERS.search(line[: one.start() + 1])]
    return _sound(found)


def _bare(line: str) -> list[tuple[int, int]]:
    """ "3/7" that stands alone, or set off from what stands beside it. A nought before a digit is written in dates."""
    found = [one for one in _BARE.finditer(line) if not (one["page"].startswith("0") or one["of"].startswith("0"))]
    return _sound(found)


def _sound(found: list[re.Match[str]]) -> list[tuple[int, int]]:
    pairs = [(int(one["page"]), int(one["of"])) for one in found]
    return [(page, of) for page, of in pairs if 1 <= page <= of <= _MOST_PAGES]
