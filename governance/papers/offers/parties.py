"""Who gave the paper, who holds it, and the country it names."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Final

from governance.papers.offers.cues import cues, pattern_for, plain, speaks_of_another
from governance.papers.offers.offer import Offer, Origin, PageText

_LONGEST: Final = 120
_TOP_LINES: Final = 4
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
        start, end = gap.end(), _end_of_value(page.text, gap.end())
        value = page.text[start:end]
        shown = country_of(value) if field == "jurisdiction" else value
        reached = end
        if shown and re.search(r"[^\W\d_]{2}", value):
            yield _offer(page, field, shown, cue.start, (start, end))


def _end_of_value(text: str, start: int) -> int:
    """A value ends with its line, or where a wide gap parts it from the next label."""
    line = text[start : text.find("\n", start) if "\n" in text[start:] else len(text)]
    value = re.split(r"\s{3,}|;|\t| \| ", line[:_LONGEST])[0]
    return start + len(value.rstrip(" .,:"))


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
