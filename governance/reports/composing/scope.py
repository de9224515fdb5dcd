"""What a report is about: whose material, which period, for whom; and how far composing is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Final

from django.db.models import QuerySet

from accessions.material.models import Specimen
from accessions.people.models import User
from governance.duties.queries.paper_material import specimens_under
from governance.reports.composing.codes import IN, MAYBE, NOT_KNOWN, OUTSIDE
from governance.reports.models import Report
from governance.usedesk.models import UseItem
from governance.usedesk.queries.material import Material, among, of_country, with_taken

Progress = Callable[[str, int, int], None]
"""Told of each step: its key, how many rows are done, of how many."""

STEPS: Final = ("material", "papers", "verdicts", "uses", "benefits", "unknown", "figures")
"""Keys of the steps, in their order."""


def iso(day: date | None) -> str | None:
    """A day as rows hold it."""
    return None if day is None else day.isoformat()


@dataclass(frozen=True)
class Period:
    """The days that a report is about; None: no bound."""

    first: date | None = None
    last: date | None = None

    @property
    def is_open(self) -> bool:
        """Whether it has no bound, so that all is in it, whenever it was."""
        return self.first is None and self.last is None

    def has(self, day: date | None) -> bool:
        """Whether a day lies in it; one that is not known does not, unless the period has no bound."""
        if day is None:
            return self.is_open
        return (self.first is None or self.first <= day) and (self.last is None or day <= self.last)

    def meets(self, first: date | None, last: date | None) -> bool:
        """Whether some day of a span may lie in it; None: the span has no bound."""
        begins_after = self.last is not None and first is not None and first > self.last
        ends_before = self.first is not None and last is not None and last < self.first
        return not begins_after and not ends_before

    def of_span(self, first: date | None, last: date | None) -> str:
        """Whether something that happened on one of the days of a span happened in the period: a code.

        >>> year = Period(date(2025, 1, 1), date(2025, 12, 31))
        >>> year.of_span(date(2024, 12, 31), date(2024, 12, 31)), year.of_span(date(2024, 12, 31), date(2025, 1, 2))
        ('outside', 'maybe')
        """
        if self.is_open:
            return IN
        if first is None and last is None:
            return NOT_KNOWN
        if not self.meets(first, last):
            return OUTSIDE
        return IN if first is not None and last is not None and self.has(first) and self.has(last) else MAYBE


@dataclass(frozen=True)
class Scope:
    """The subject of a report and who composes it. told: keys of the papers of which it
    speaks, as they are asked about."""

    report: Report
    reader: User
    today: date
    progress: Progress | None = None
    period: Period = field(default=Period())
    told: set[int] = field(default_factory=set, compare=False, kw_only=True)

    @classmethod
    def of(cls, report: Report, reader: User, today: date, progress: Progress | None = None) -> Scope:
        return cls(report, reader, today, progress, Period(report.period_from, report.period_to))

    @property
    def country(self) -> str:
        """The country that reads it: of the report, or of the authority of its paper; "" is not known."""
        paper = self.report.paper
        return self.report.country or (paper.jurisdiction[:2] if paper else "")

    @cached_property
    def keys(self) -> list[int]:
        """Keys of all material, with what was taken from it or pooled of it, wherever that is kept."""
        if self.report.paper_id is not None:
            return sorted(with_taken(specimens_under([self.report.paper_id])[self.report.paper_id]))
        own = Specimen.objects.filter(event__country=self.report.country).order_by()
        return sorted({*own.values_list("pk", flat=True), *self._of_country.taken})

    def items(self) -> QuerySet[UseItem]:
        """Specimens of uses, of this material."""
        if self.report.paper_id is not None:
            return UseItem.objects.filter(among("specimen", self.keys)).order_by()
        return self._of_country.items

    @cached_property
    def _of_country(self) -> Material:
        return of_country(self.report.country)

    def without_country(self) -> int:
        """Specimens of the register that are not of any known country, and so may be meant by a report on one."""
        if not self.report.country:
            return 0
        rows = Specimen.objects.filter(event__country="").order_by().values_list("pk", flat=True)
        return len(set(rows).difference(self.keys))

    def tell(self, step: str, done: int, total: int) -> None:
        """Say how far composing is."""
        if self.progress is not None:
            self.progress(step, done, total)
