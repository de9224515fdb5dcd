"""What of the uses waits for somebody: overdue loans, open remedies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

from django.db.models import F, Q, QuerySet

from governance.usedesk.models import Remedy
from governance.usedesk.queries.made import Line, Wanted, grace_days, uses
from governance.usedesk.queries.one_use import hidden_words

_MOST: Final = 5
AHEAD_DAYS: Final = 30


def remedies(*, show: str = "open", q: str = "") -> QuerySet[Remedy]:
    """Remedies of entries that stand: open ones by their day, or the ended ones, newest first."""
    rows = Remedy.objects.filter(use__voided_at__isnull=True).select_related("use__recipient", "paper", "done_by")
    for word in q.split():
        rows = rows.filter(
            Q(use__reference__icontains=word) | Q(use__title__icontains=word) | Q(use__recipient__name__icontains=word)
            | Q(paper__reference__icontains=word)
        )  # fmt: skip
    if show == "ended":
        return rows.filter(done_on__isnull=False).order_by("-done_on", "-pk")
    return rows.filter(done_on__isnull=True).order_by(F("due_on").asc(nulls_last=True), "pk")


@dataclass(frozen=True)
class RemedyLine:
    """A remedy in a list. hidden: the line in place of its words, where they are not open to the reader."""

    remedy: Remedy
    hidden: str
    today: date

    @property
    def days_late(self) -> int:
        remedy = self.remedy
        if remedy.done_on is not None or remedy.due_on is None:
            return 0
        return max((self.today - remedy.due_on).days, 0)


def remedy_lines(found: Sequence[Remedy], reader: Any, today: date) -> list[RemedyLine]:
    """Remedies as a reader may see them."""
    return [RemedyLine(remedy, hidden_words(remedy, reader), today) for remedy in found]


@dataclass(frozen=True)
class Waiting:
    """What Today shows; the counts are whole. soon: loans that fall due within ``AHEAD_DAYS``."""

    late: Sequence[Line]
    late_count: int
    soon: Sequence[Line]
    soon_count: int
    remedies: Sequence[RemedyLine]
    remedy_count: int

    def __bool__(self) -> bool:
        return bool(self.late_count or self.soon_count or self.remedy_count)


def waiting(today: date, reader: Any) -> Waiting:
    """Two queries where no loan falls due and no remedy is open; five at most, whatever the number of loans."""
    out = uses(Wanted(show="out"), today).filter(due_on__lte=today + timedelta(AHEAD_DAYS))
    due = list(out.order_by("due_on", "pk").values_list("pk", "due_on"))
    opened = list(remedies()[:_MOST])
    grace = grace_days() if due else 0
    late = [pk for pk, due_on in due if due_on is not None and due_on < today - timedelta(grace)]
    soon = [pk for pk, _due_on in due[len(late) :]]
    shown = uses(Wanted(), today).in_bulk([*late[:_MOST], *soon[:_MOST]]) if due else {}
    late_lines, soon_lines = ([Line(shown[pk], today, grace) for pk in some[:_MOST]] for some in (late, soon))
    return Waiting(
        late_lines, len(late), soon_lines, len(soon), remedy_lines(opened, reader, today),
        remedies().count() if len(opened) == _MOST else len(opened),
    )  # fmt: skip
