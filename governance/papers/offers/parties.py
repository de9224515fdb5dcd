"""Who gave the paper, who holds it, and the country it names."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Final

from governance.papers.offers.cues import cues, pattern_for, plain, speaks_of_another
from governance.papers.offers.offer import Offer, Origin, PageText

_LONGEST: Final = 120
_TOP_LINES: Final = 4
_WIDE: Final = 2.5
_GAP: Final = re.compile(r"[ \t]*:[ \t]*\n?[ \t]*")

CountryOf = Callable[[str], str]
"""The code of a country by its name in one of the languages; "" for what is none."""


def offered_parties(page: PageText, country_of: CountryOf) -> Iterator[Offer]:
    """Issuer, holder and country behind their cues; the issuer of the first page also from its letterhead."""
    issued = False
    for field in ("issuer", "holder", "jurisdiction"):
        for offer in _behind_cues(page, field, country_of):
            issued = issued or field == "issuer"
            yield offer
    if page.of_paper == 1 and not issued:
        yield from _letterhead(page)


def _behind_cues(page: PageText, field: str, country_of: CountryOf) -> Iterator[Offer]:
    text, reached = plain(page.text), -1
    for cue in sorted(cues(text, field), key=lambda cue: (cue.start, -cue.end)):
        gap = _GAP.match(text, cue.end)
        if not gap or cue.start < reached or speaks_of_another(text, cue.start):
            continue
        start, end = gap.end(), _end_of_value(page, gap.end())
        value = page.text[start:end]
        shown = country_of(value) if field == "jurisdiction" else value
        reached = end
        if shown and re.search(r"[^\W\d_]{2}", value):
            yield _offer(page, field, shown, cue.start, (start, end))


def _end_of_value(page: PageText, start: int) -> int:
    """A value ends with its line, or where a wide gap parts it from the next label; a further label is none of it."""
    line_end = page.text.find("\n", start)
    line_end = min(line_end if line_end >= 0 else len(page.text), start + _LONGEST, _wide_gap(page, start))
    value = re.split(r"\s{3,}|;|\t| \| ", page.text[start:line_end])[0]
    return start if ":" in value else start + len(value.rstrip(" .,"))


def _wide_gap(page: PageText, start: int) -> int:
    """Where the first word ends, from a place on, that is followed by a gap wider than twice its height."""
    words = [word for word in page.words if word[0] >= start]
    for word, after in pairwise(words):
        height = word[5] - word[3]
        if after[2] - word[4] > _WIDE * height or after[3] > word[5]:
            return int(word[1])
    return len(page.text)


def _letterhead(page: PageText) -> Iterator[Offer]:
    """The first line that names an office, among the first of the page."""
    at = 0
    seen = 0
    for line in page.text.split("\n"):
        filled = line.strip()
        seen += bool(filled)
        if seen > _TOP_LINES:
            return
        if filled and len(filled) <= _LONGEST and ":" not in filled and _names_office(filled):
            start = at + line.index(filled)
            yield _offer(page, "issuer", filled.rstrip(" .,"), start, (start, start + len(filled)), Origin.LETTERHEAD)
            return
        at += len(line) + 1


def _names_office(line: str) -> bool:
    return bool(pattern_for("office").search(plain(line))) or bool(
        re.search(r"(?:amt|behorde|ministerium|direktion)(?!\w)", plain(line))
    )


def _offer(
    page: PageText, field: str, value: str, start: int, place: tuple[int, int], origin: str = Origin.CUE
) -> Offer:
    words = " ".join(page.text[start : place[1]].split())
    return Offer(
        field, value, page.page, start, place[1], words, confidence=page.confidence(*place), origin=origin,
        of_paper=page.of_paper,
    )  # fmt: skip
