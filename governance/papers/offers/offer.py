"""What is offered from the words of a scan, and the words themselves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

Word = Sequence[Any]
"""[start, end, left, top, right, bottom, confidence]: as ``ScanPage.words`` has them."""


class WhyNot(StrEnum):
    """Why what stands there is shown and not offered as a value."""

    TWO_READINGS = "two-readings"
    TWO_DIGIT_YEAR = "two-digit-year"
    NO_SUCH_DAY = "no-such-day"
    LETTER_FOR_FIGURE = "letter-for-figure"
    UNSURE = "unsure"
    NO_YEAR = "no-year"
    BLANK_INSIDE = "blank-inside"


class Origin(StrEnum):
    """How a value was found, where that says how far to trust it."""

    CUE = "cue"
    LETTERHEAD = "letterhead"
    KNOWN_NAME = "known-name"
    LATIN_FORM = "latin-form"


@dataclass(frozen=True, slots=True)
class PageText:
    """The words of one page. page: of the scan; of_paper: the same page counted in the paper. Both from 1."""

    page: int
    of_paper: int
    text: str
    words: Sequence[Word] = ()

    def confidence(self, start: int, end: int) -> int | None:
        """How sure the recognition is of the least sure word there, 0 to 100; None: the text of the file itself."""
        sure = [word[6] for word in self.words if word[0] < end and word[1] > start and word[6] is not None]
        return int(min(sure)) if sure else None


@dataclass(frozen=True, slots=True)
class Offer:
    """One value read from the words of a page, for a person to take over or not.

    field: key of the exchange file. value: as the form takes it; "" where there is none to offer, and ``why_not`` says
    why. start, end: where ``words`` stand in the text of the page. readings: ISO days that a date can mean.
    """

    field: str
    value: str
    page: int
    start: int
    end: int
    words: str
    why_not: str = ""
    readings: tuple[str, ...] = ()
    confidence: int | None = None
    origin: str = Origin.CUE
    of_paper: int = 1
