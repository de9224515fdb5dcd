"""All questions of data quality beside each other: how many rows each finds, how that went in the last weeks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from accessions.material.models import Specimen
from governance.audit.models import QualityCount
from governance.audit.queries.quality import counts_since
from governance.audit.questions.quality import RULES
from governance.audit.questions.quality.rule import Rule, counted

COUNTED_AT_ONCE: Final = 20_000
"""Specimens up to which a page counts the questions itself; of a larger register it shows what was counted last."""

_WIDTH, _HEIGHT = 120, 24


@dataclass(frozen=True)
class Trend:
    """A small line: points of an SVG of 120 by 24. first, last: the numbers at its ends."""

    points: str
    first: int
    last: int
    days: int

    @property
    def change(self) -> int:
        return self.last - self.first

    @property
    def fewer(self) -> int:
        return -self.change


@dataclass(frozen=True)
class QualityLine:
    """A question with its number. count: None if it was never counted. on: of which day."""

    rule: Rule
    count: int | None
    noted: int
    on: date | None
    trend: Trend | None


@dataclass(frozen=True)
class Overview:
    """lines: the largest number first, those that find nothing last. oldest: the earliest day among the counts."""

    lines: Sequence[QualityLine]
    is_live: bool

    @property
    def found(self) -> int:
        return sum(bool(line.count) for line in self.lines)

    @property
    def rows(self) -> int:
        return sum(line.count or 0 for line in self.lines)

    @property
    def noted(self) -> int:
        return sum(line.noted for line in self.lines)

    @property
    def uncounted(self) -> int:
        return sum(line.count is None for line in self.lines)

    @property
    def oldest(self) -> date | None:
        return min((line.on for line in self.lines if line.on), default=None)


def overview(today: date) -> Overview:
    """Of a small register every question is asked; of a large one the kept counts are read, two queries."""
    kept = counts_since(today)
    is_live = not Specimen.objects.order_by("pk")[COUNTED_AT_ONCE : COUNTED_AT_ONCE + 1].exists()
    lines = [_line(rule, kept.get(rule.key, ()), today, is_live) for rule in RULES]
    place = {rule.key: number for number, rule in enumerate(RULES)}
    return Overview(sorted(lines, key=lambda line: (-(line.count or 0), place[line.rule.key])), is_live)


def _line(rule: Rule, kept: Sequence[QualityCount], today: date, is_live: bool) -> QualityLine:
    counts = [(one.on, one.count) for one in kept]
    if is_live:
        count, noted = counted(rule, today)
        counts = [*((on, n) for on, n in counts if on != today), (today, count)]
        return QualityLine(rule, count, noted, today, trend_of(counts))
    if not kept:
        return QualityLine(rule, None, 0, None, None)
    newest = kept[-1]
    return QualityLine(rule, newest.count, newest.noted, newest.on, trend_of(counts))


def trend_of(counts: Sequence[tuple[date, int]]) -> Trend | None:
    """The line of some counts, oldest first; None of fewer than two days."""
    if len(counts) < 2:
        return None
    (first_on, first), (last_on, last) = counts[0], counts[-1]
    days = (last_on - first_on).days
    most = max(n for _on, n in counts) or 1
    points = [
        (_WIDTH * (on - first_on).days / days, _HEIGHT - 2 - (_HEIGHT - 4) * n / most) for on, n in counts
    ]  # fmt: skip
    return Trend(" ".join(f"{x:.1f},{y:.1f}" for x, y in points), first, last, days)
