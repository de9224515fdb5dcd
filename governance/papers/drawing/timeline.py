"""Rows of bars, holes and days on one axis, every place in percent of its width.

Percent, not pixels: the drawing takes the width that the page gives it and needs no script. Labels are kept apart by
what a letter takes on a drawing of ``ASSUMED_WIDTH`` pixels.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

from governance.papers.drawing.axis import Axis, Tick

ASSUMED_WIDTH = 620.0
CHARACTER_PERCENT = 6.3 / ASSUMED_WIDTH * 100
_BESIDE_DOT, _BESIDE_BAR = 10.0, 6.0
"""Pixels between a dot or a bar and its words."""

_DOT_PERCENT = _BESIDE_DOT / ASSUMED_WIDTH * 100
_SMALLEST_BAR = 0.4


class BandKind(StrEnum):
    """How a stretch of time is drawn: the values are the classes of the stylesheet."""

    IN_FORCE = "barr"
    ENDED = "barr done"
    PLANNED = "barr plan"
    PAUSE = "hatch"
    GAP = "gap"


@dataclass(frozen=True)
class Band:
    """A stretch from one day to another, both included; None: open, drawn to the end of the axis."""

    kind: BandKind
    first: date | None
    last: date | None
    label: str = ""


@dataclass(frozen=True)
class Happening:
    """A day, or a stretch of days that is not known better, drawn as a dot (with its reach). needs_look: coloured."""

    first: date
    last: date | None = None
    label: str = ""
    needs_look: bool = False


@dataclass(frozen=True)
class TimeRow:
    """One line: a paper, a version, the days of a specimen."""

    label: str
    sub: str = ""
    href: str = ""
    bands: Sequence[Band] = ()
    happenings: Sequence[Happening] = ()


@dataclass(frozen=True)
class DrawnBand:
    """A bar in percent. y, height: units of the row. clipped_left, clipped_right: it goes on beyond the axis."""

    style: str
    x: float
    width: float
    y: float
    height: float
    title: str


@dataclass(frozen=True)
class DrawnDot:
    """A day in percent; ``width`` is its reach, 0 for one day."""

    x: float
    left: float
    width: float
    y: float
    style: str
    title: str


@dataclass(frozen=True)
class DrawnText:
    """Words at a percent, ``dx`` pixels off it. style: classes (``e`` ends there, ``in`` stands in a bar)."""

    text: str
    x: float
    dx: float
    y: float
    style: str


@dataclass(frozen=True)
class DrawnRow:
    """A row with all its places. lanes: 1 or 2."""

    row: TimeRow
    bands: Sequence[DrawnBand]
    dots: Sequence[DrawnDot]
    texts: Sequence[DrawnText]
    lanes: int


@dataclass(frozen=True)
class Drop:
    """A line over all rows: the day tested."""

    x: float
    needs_look: bool


@dataclass(frozen=True)
class TimelineDrawing:
    """All that the template of a timeline needs. now: where today stands, None if it is not on the axis."""

    rows: Sequence[DrawnRow]
    ticks: Sequence[Tick]
    drops: Sequence[Drop]
    now: float | None
    first: date
    last: date


def draw_timeline(
    rows: Sequence[TimeRow],
    *,
    first: date | None = None,
    last: date | None = None,
    today: date | None = None,
    drops: Sequence[Happening] = (),
) -> TimelineDrawing | None:
    """Place every row on one axis; None where nothing has a day.

    Args:
        rows: in the order of the page.
        first, last: the ends of the axis; None: chosen so that all days are on it, with some room at both ends.
        today: a line on that day, if it is on the axis; what is still open is drawn up to it.
        drops: days that are marked over all rows.
    """
    days = sorted(_days(rows, drops, today))
    if not days and (first is None or last is None):
        return None
    axis = Axis.over(first or _with_room(days)[0], last or _with_room(days)[1])
    return TimelineDrawing(
        rows=[_draw_row(row, axis) for row in rows],
        ticks=axis.ticks(),
        drops=[Drop(axis.middle(drop.first), drop.needs_look) for drop in drops if axis.holds(drop.first)],
        now=axis.middle(today) if today and axis.holds(today) else None,
        first=axis.first,
        last=axis.last,
    )


def _days(rows: Sequence[TimeRow], drops: Sequence[Happening], today: date | None) -> set[date]:
    """All days that have to be on the axis; today is one of them if a bar that has started is still open."""
    bands = [band for row in rows for band in row.bands]
    ends = [end for band in bands for end in (band.first, band.last)]
    ends += [today for band in bands if today and band.last is None and band.first and band.first <= today]
    ends += [end for row in rows for happening in row.happenings for end in (happening.first, happening.last)]
    return {end for end in [*ends, *(drop.first for drop in drops)] if end}


def _with_room(days: Sequence[date]) -> tuple[date, date]:
    """A sixteenth of the span, a fortnight at least, free at both ends, as far as the calendar goes."""
    room = timedelta(max(14, (days[-1] - days[0]).days // 16))
    first = days[0] - room if days[0] - date.min > room else date.min
    return first, days[-1] + room if date.max - days[-1] > room else date.max


def _draw_row(row: TimeRow, axis: Axis) -> DrawnRow:
    """Bars and dots on one lane; words in a bar, after it or before it, else on a second lane below."""
    seen = [band for band in row.bands if axis.touches(band.first, band.last)]
    events = [event for event in row.happenings if axis.touches(event.first, event.last or event.first)]
    words = _Words()
    bands = [_draw_band(band, axis) for band in seen]
    dots = [_draw_dot(event, axis) for event in events]
    for dot in dots:
        words.keep_free(dot.x - _DOT_PERCENT, dot.x + _DOT_PERCENT)
    for band, drawn in zip(seen, bands, strict=True):
        if band.kind not in (BandKind.PAUSE, BandKind.GAP):
            words.keep_free_for_others(drawn.x, drawn.x + drawn.width)
    for event, dot in zip(events, dots, strict=True):
        words.beside(event.label, dot.left, dot.left + dot.width, "out" if event.needs_look else "", gap=_BESIDE_DOT)
    for band, drawn in zip(seen, bands, strict=True):
        words.on_band(band, drawn)
    return DrawnRow(row, _with_holes_below(bands), dots, words.texts, 2 if words.second_lane else 1)


def _with_holes_below(bands: Sequence[DrawnBand]) -> list[DrawnBand]:
    """A pause is laid on a piece of empty paper, so that its hatch does not stand on the bar's colour."""
    drawn = []
    for band in bands:
        if band.style == BandKind.PAUSE:
            drawn.append(replace(band, style="hole", y=band.y - 1, height=band.height + 2, title=""))
        drawn.append(band)
    return drawn


def _draw_band(band: Band, axis: Axis) -> DrawnBand:
    left, right = axis.left(band.first), axis.right(band.last)
    return DrawnBand(band.kind, left, round(max(right - left, _SMALLEST_BAR), 2), 6, 20, band.label)


def _draw_dot(event: Happening, axis: Axis) -> DrawnDot:
    last = event.last or event.first
    left, right = axis.left(event.first), axis.right(last)
    style = "ev out" if event.needs_look else "ev"
    if last == event.first:
        return DrawnDot(axis.middle(event.first), axis.middle(event.first), 0, 16, style, event.label)
    return DrawnDot(round((left + right) / 2, 2), left, round(right - left, 2), 16, style, event.label)


class _Words:
    """Finds room for the words of a row, in percent; never two on one another."""

    def __init__(self) -> None:
        self.texts: list[DrawnText] = []
        self.second_lane = False
        self._taken: list[tuple[float, float]] = []
        self._bars: list[tuple[float, float]] = []
        self._below: list[tuple[float, float]] = []

    def keep_free(self, left: float, right: float) -> None:
        self._taken.append((left, right))

    def keep_free_for_others(self, left: float, right: float) -> None:
        self._bars.append((left, right))

    def on_band(self, band: Band, drawn: DrawnBand) -> None:
        """Inside the bar if the words fit there, else beside it."""
        long = len(band.label) * CHARACTER_PERCENT
        inside = (drawn.x + 1, drawn.x + 1 + long)
        if not band.label:
            return
        hatched = band.kind in (BandKind.PAUSE, BandKind.GAP)
        if not hatched and long + 2 <= drawn.width and self._free(inside, self._taken):
            self._taken.append(inside)
            self.texts.append(DrawnText(band.label, drawn.x, 7, 20.5, "in"))
        else:
            tone = {BandKind.PAUSE: "out", BandKind.GAP: "mis"}.get(band.kind, "")
            self.beside(band.label, drawn.x, drawn.x + drawn.width, tone)

    def beside(self, text: str, left: float, right: float, tone: str, gap: float = _BESIDE_BAR) -> None:
        """After a stretch, or before it; on the second lane where neither is free; nowhere where that is full too."""
        if not text:
            return
        long = len(text) * CHARACTER_PERCENT
        reach = gap / ASSUMED_WIDTH * 100
        after, before = (right + reach, right + reach + long), (left - reach - long, left - reach)
        taken = self._taken + self._bars
        for lane, y, used in ((1, 20.5, taken), (2, 44.5, self._below)):
            if after[1] <= 100 and self._free(after, used):
                self._place(lane, after, DrawnText(text, round(right, 2), gap, y, tone))
                return
            if before[0] >= 0 and self._free(before, used):
                self._place(lane, before, DrawnText(text, round(left, 2), -gap, y, f"{tone} e".strip()))
                return

    def _place(self, lane: int, stretch: tuple[float, float], text: DrawnText) -> None:
        (self._taken if lane == 1 else self._below).append(stretch)
        self.second_lane |= lane == 2
        self.texts.append(text)

    @staticmethod
    def _free(stretch: tuple[float, float], taken: Sequence[tuple[float, float]]) -> bool:
        return all(stretch[1] <= left or right <= stretch[0] for left, right in taken)
