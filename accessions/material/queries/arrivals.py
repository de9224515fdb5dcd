"""Deliveries that wait: where each stands between its arrival and an accession number."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any, Final

from django.db.models import Q, QuerySet

from accessions.material.models import Accession, Delivery
from accessions.people.changes import Change, changes_of

UNRELEASED: Final = Q(released_at__isnull=True) & (
    ~Q(entry_number="") | Q(quarantine_in_on__isnull=False, quarantine_out_on__isnull=True)
)
"""``Delivery.is_unreleased`` as a condition."""

WAITING: Final = UNRELEASED | Q(accession__isnull=True)
"""Not released, or without an accession number."""

_OFFERED: Final = 300


class Stand(StrEnum):
    """What a delivery waits for, in the order of the path."""

    QUARANTINE = "quarantine"
    HOURS = "hours"
    RELEASE = "release"
    ACCESSION = "accession"
    DONE = "done"


@dataclass(frozen=True)
class Waiting:
    """A delivery and where it stands on a day. days: since it arrived; None if that day is not recorded."""

    delivery: Delivery
    stand: Stand
    days: int | None

    @property
    def since(self) -> date | None:
        return self.delivery.received_on or self.delivery.quarantine_in_on

    @property
    def needs_release(self) -> bool:
        return self.delivery.is_unreleased

    @property
    def needs_accession(self) -> bool:
        return self.delivery.accession_id is None


@dataclass(frozen=True)
class ArrivalFilter:
    """What the list is narrowed to; blank is all that waits."""

    q: str = ""
    stand: str = ""
    sort: str = "-days"


def stand_of(delivery: Delivery, today: date) -> Stand:
    """What it waits for first. Release and accession do not wait for each other."""
    if delivery.is_unreleased:
        return _at_the_gate(delivery, today)
    return Stand.DONE if delivery.accession_id else Stand.ACCESSION


def _at_the_gate(delivery: Delivery, today: date) -> Stand:
    if delivery.quarantine_waived:
        return Stand.RELEASE
    earliest = delivery.earliest_release_on
    if earliest is None:
        return Stand.QUARANTINE
    return Stand.HOURS if today < earliest else Stand.RELEASE


def as_of(delivery: Delivery, today: date) -> Waiting:
    """A delivery with its stand and its days."""
    since = delivery.received_on or delivery.quarantine_in_on
    return Waiting(delivery, stand_of(delivery, today), (today - since).days if since else None)


_SORTS: Final[dict[str, Callable[[Waiting], Any]]] = {
    "entry": lambda row: row.delivery.entry_number,
    "from": lambda row: str(row.delivery.sender or "").casefold(),
    "days": lambda row: -1 if row.days is None else row.days,
    "stand": lambda row: list(Stand).index(row.stand),
}


def arrivals(narrowed: ArrivalFilter, today: date) -> list[Waiting]:
    """Deliveries that wait, or those that are through, in order: one query."""
    rows = [as_of(delivery, today) for delivery in _asked_for(narrowed)]
    if narrowed.stand:
        rows = [row for row in rows if _fits(row, narrowed.stand)]
    key = narrowed.sort.removeprefix("-")
    ordered = sorted(rows, key=lambda row: row.delivery.pk)
    return sorted(ordered, key=_SORTS.get(key, _SORTS["days"]), reverse=narrowed.sort.startswith("-"))


def _asked_for(narrowed: ArrivalFilter) -> QuerySet[Delivery]:
    through = ~WAITING & ~Q(entry_number="")
    rows = Delivery.objects.filter(through if narrowed.stand == Stand.DONE else WAITING)
    for word in narrowed.q.split():
        rows = rows.filter(
            Q(entry_number__icontains=word) | Q(contents__icontains=word) | Q(sender__name__icontains=word)
            | Q(brought_by__icontains=word) | Q(accession__number__icontains=word)
        )  # fmt: skip
    return rows.select_related("sender", "accession", "released_by")


def _fits(row: Waiting, stand: str) -> bool:
    """A delivery in quarantine may wait for its number at the same time: it is in both lists."""
    return row.stand == stand or (stand == Stand.ACCESSION and row.needs_accession)


def waiting_count() -> int:
    """How many deliveries wait; one query."""
    return Delivery.objects.filter(WAITING).count()


def changes_of_delivery(delivery: Delivery) -> list[Change]:
    """Its history, newest first."""
    return changes_of(Delivery, id=delivery.pk)


def last_accession_number() -> str:
    """The number that was given last, to go on from; "" for the first."""
    return Accession.objects.order_by("-pk").values_list("number", flat=True).first() or ""


def accessions_to_join(delivery: Delivery) -> list[tuple[str, str]]:
    """Numbers and titles to choose from: accessions of its sender, else all; the newest first."""
    newest = Accession.objects.order_by("-pk").values_list("number", "title")
    of_sender = list(newest.filter(source=delivery.sender_id)[:_OFFERED]) if delivery.sender_id else []
    return of_sender or list(newest[:_OFFERED])


def next_entry_number(day: date) -> str:
    """The next free entry number of a year, such as E-2026-014: one above the highest of its form."""
    start = f"E-{day.year}-"
    written = Delivery.objects.filter(entry_number__startswith=start).values_list("entry_number", flat=True)
    counted = [int(found[1]) for number in written if (found := re.fullmatch(r"E-\d{4}-(\d{1,6})", number))]
    return f"{start}{max(counted, default=0) + 1:03}"
