"""The numbers of a paper: its own, and a second one of the file or the case."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from governance.papers.offers.cues import cues, plain, speaks_of_another
from governance.papers.offers.offer import Offer, PageText, WhyNot

_LONGEST: Final = 60
_GAP: Final = re.compile(r"(?:\s*[:#]\s*|[ \t]+|[ \t]*\n[ \t]*)")
_NUMBER: Final = re.compile(r"[^\W_][\w./\-–]*(?: ?[/\-–] ?[\w./\-–]+)*(?: [0-9][\w./\-–]*)?")


def offered_numbers(page: PageText) -> Iterator[Offer]:
    """What stands behind "Permit No." and the like, as it was read: O and 0 are never put right."""
    text = plain(page.text)
    taken: list[tuple[int, int]] = []
    for field in ("second_number", "reference"):
        for cue in sorted(cues(text, field), key=lambda cue: (cue.start, -cue.end)):
            number = _number_after(page.text, cue.end)
            if number is None or speaks_of_another(text, cue.start):
                continue
            start, end = number
            if any(start < b and a < end for a, b in taken):
                continue
            taken.append((start, end))
            yield _offer(page, field, cue.start, (start, end))


def _offer(page: PageText, field: str, start: int, place: tuple[int, int]) -> Offer:
    """Recognition sometimes parts figures: a recognised number with a blank in it is shown and not offered."""
    value, sure = page.text[slice(*place)], page.confidence(*place)
    why_not = WhyNot.BLANK_INSIDE if sure is not None and " " in value else ""
    words = " ".join(page.text[start : place[1]].split())
    return Offer(
        field, "" if why_not else value, page.page, start, place[1], words, why_not, confidence=sure,
        of_paper=page.of_paper,
    )  # fmt: skip


def looks_alike(value: str) -> bool:
    """Whether a number holds signs that recognition confuses: O and 0, l, I and 1."""
    return bool(re.search(r"[OolI](?=[0-9])|(?<=[0-9])[OolI]", value))


def _number_after(text: str, start: int) -> tuple[int, int] | None:
    gap = _GAP.match(text, start)
    match = _NUMBER.match(text, gap.end() if gap else start)
    if not gap or not match:
        return None
    value = match[0].rstrip(".-–/ ")
    first = value.split(" ")[0]
    if not any(sign.isdigit() for sign in first):
        return None
    return (match.start(), match.start() + len(value)) if len(value) <= _LONGEST else None
