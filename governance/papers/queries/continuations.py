"""Which papers continue a paper, and which it continues, with the days that lie between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q

from governance.papers.lifetimes import lifetime
from governance.papers.models import Paper, PaperContinuation

_DAY = timedelta(1)


@dataclass(frozen=True)
class Seam:
    """The days between two papers. days: how many lie between the last of one and the first of the other; less than
    zero: on so many days both held; None: an end or a start is not known. first, last: those days, if there are any."""

    days: int | None
    first: date | None = None
    last: date | None = None

    @property
    def overlap(self) -> int:
        """Days on which both held."""
        return max(0, -(self.days or 0))


@dataclass(frozen=True)
class Continuation:
    """A recorded continuation as the page of one of the two papers shows it. is_later: the other one is the later."""

    row: PaperContinuation
    other: Paper
    is_later: bool
    seam: Seam


def seam_between(last: date | None, first: date | None) -> Seam:
    """The days between the last day of one paper and the first of the next.

    >>> seam_between(date(2022, 12, 31), date(2023, 1, 9))
    Seam(days=8, first=datetime.date(2023, 1, 1), last=datetime.date(2023, 1, 8))
    >>> seam_between(date(2022, 12, 31), date(2023, 1, 1)).days, seam_between(None, date(2023, 1, 1)).days
    (0, None)
    """
    if last is None or first is None:
        return Seam(None)
    days = (first - last).days - 1
    return Seam(days, last + _DAY, first - _DAY) if days > 0 else Seam(days)


def continuations_of(paper: Paper, on: date) -> Sequence[Continuation]:
    """All of a paper, those that came before it first. Six queries."""
    rows = (
        PaperContinuation.objects.filter(Q(earlier=paper) | Q(later=paper))
        .select_related("earlier", "later")
        .prefetch_related("earlier__versions", "earlier__statuses", "later__versions", "later__statuses")
        .order_by("pk")
    )
    found = [_shown(row, paper, on) for row in rows]
    return sorted(found, key=lambda one: (one.is_later, one.seam.last or date.max))


def _shown(row: PaperContinuation, paper: Paper, on: date) -> Continuation:
    is_later = row.earlier_id == paper.pk
    seam = seam_between(lifetime(row.earlier, on).last, lifetime(row.later, on).first)
    return Continuation(row, row.later if is_later else row.earlier, is_later, seam)
