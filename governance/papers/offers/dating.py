"""The days of a paper: of its issue, its first and its last, each with the cue that says which it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise
from typing import Final

from governance.papers.offers.cues import Cue, cues, pattern_for, plain, speaks_of_another
from governance.papers.offers.days import DayFound, blanks_only, days_in, joins, year_from
from governance.papers.offers.offer import Offer, PageText, WhyNot

SURE_FROM: Final = 60
"""Below this confidence (0 to 100) of its least sure word a date is shown and not offered: a wrong day is the worst
that an offer can do. Chosen on the generated scans of ``offers.md``."""

_ROOM_OF_FIGURE: Final = 0.85
_ROOM_OF_COLUMN: Final = 2.5
"""Room between two words by their height: a blank leaves 0.3 to 0.6, a blank and a lost figure about 1.1."""

_ASPECT: Final = 0.71
"""Width of a page by its height: A4, and near enough for other papers."""

_FAR: Final = 60
_FIELDS: Final = ("issued_on", "in_force_from", "in_force_to", "period")


@dataclass(frozen=True, slots=True)
class _Told:
    """A day with the field that its words give it."""

    field: str
    found: DayFound
    start: int


def offered_days(page: PageText) -> Iterator[Offer]:
    """The days of one page whose words say what they are."""
    text = plain(page.text)
    for told in _told(text):
        yield _offer(page, told)


def _told(text: str) -> Iterator[_Told]:
    days, known = days_in(text), [cue for field in _FIELDS for cue in cues(text, field)]
    told_last = False
    for number, day in enumerate(days):
        if told_last:
            told_last = False
            continue
        cue = _cue_of(text, day, known)
        if cue is None or speaks_of_another(text, cue.start):
            continue
        last = _last_of_span(text, days[number : number + 2]) if cue.field in ("period", "in_force_from") else None
        if last:
            told_last = True
            yield _Told("in_force_from", _with_year(day, last), cue.start)
            yield _Told("in_force_to", last, cue.start)
        elif cue.field != "period" and day.why_not != WhyNot.NO_YEAR:
            yield _Told(cue.field, day, cue.start)


def _last_of_span(text: str, days: list[DayFound]) -> DayFound | None:
    """The last day, where a first one is followed by "to" and another."""
    if len(days) < 2 or not joins(text[days[0].end : days[1].start], pattern_for("joins")):
        return None
    return days[1]


def _with_year(day: DayFound, after: DayFound) -> DayFound:
    """The year of a first day that is written once, behind the last day."""
    first: date | None = year_from(day, after) if day.why_not == WhyNot.NO_YEAR else None
    return replace(day, day=first, why_not="", end=after.end) if first else day


def _cue_of(text: str, day: DayFound, known: list[Cue]) -> Cue | None:
    """The cue that stands directly before a day; None where labels stand side by side above it: which is its own?"""
    near = [
        cue for cue in known
        if cue.end <= day.start and day.start - cue.end <= _FAR and blanks_only(text[cue.end : day.start])
    ]  # fmt: skip
    if not near:
        return None
    best = max(near, key=lambda cue: (cue.end, cue.end - cue.start))
    if "\n" in text[best.end : day.start]:
        line = text.rfind("\n", 0, best.start) + 1
        if any(line <= cue.start and cue.end <= best.start for cue in known):
            return None
    return best


def _offer(page: PageText, told: _Told) -> Offer:
    found = told.found
    sure = page.confidence(told.start, found.end)
    day_sure = page.confidence(found.start, found.end)
    is_unsure = day_sure is not None and (day_sure < SURE_FROM or _has_hole(page, told))
    why_not = found.why_not or (WhyNot.UNSURE if is_unsure else "")
    value = found.day.isoformat() if found.day and not why_not else ""
    readings = tuple(day.isoformat() for day in found.readings) if why_not == WhyNot.TWO_READINGS else ()
    words = " ".join(page.text[told.start : found.end].split())
    return Offer(
        told.field, value, page.page, told.start, found.end, words, why_not, readings,
        day_sure if day_sure is not None else sure, of_paper=page.of_paper,
    )  # fmt: skip


def _has_hole(page: PageText, told: _Told) -> bool:
    """Whether a recognised day may have lost a figure under a stamp, a fold or correction fluid: the picture leaves the
    room of a figure before the day or within it. Values that stand apart from their labels leave more room."""
    words = [word for word in page.words if word[0] < told.found.end and word[1] > told.start]
    for word, after in pairwise(words):
        if after[3] > word[5] or after[0] < told.found.start:
            continue
        room = (after[2] - word[4]) * _ASPECT / max(word[5] - word[3], after[5] - after[3], 0.001)
        if room >= _ROOM_OF_FIGURE and (word[0] >= told.found.start or room <= _ROOM_OF_COLUMN):
            return True
    return False
