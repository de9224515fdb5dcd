"""Whose calendar an address is, what a person wants to be told of, and which duties that is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Q, QuerySet
from django.utils import timezone

from accessions.people.access import Verb, may
from accessions.people.models import User
from governance.duties.models import CalendarAddress, Duty, ReminderSent, ReminderWish
from governance.duties.queries.listing import OPEN, DutyLine, lines, with_state
from governance.engine.duties import State


def address_of_secret(sha256: str) -> CalendarAddress | None:
    """The standing address behind a secret; None if there is none, it has ended, or its person has gone or may not
    take lists out of the register any more."""
    found = CalendarAddress.objects.select_related("user").filter(secret_sha256=sha256, ended_at__isnull=True).first()
    return found if found is not None and may(found.user, Verb.EXPORT) else None


def address_of(user: Any) -> CalendarAddress | None:
    """The standing address of a person."""
    return CalendarAddress.objects.filter(user=user, ended_at__isnull=True).first()


def wish_of(user: Any) -> str:
    """What the person wants to be told of; without a word of theirs, their own duties."""
    said = ReminderWish.objects.filter(user=user).values_list("wish", flat=True).first()
    return said or ReminderWish.Wish.OWN.value


def duties_for(user: Any, *, is_all: bool, with_nobodys: bool) -> Q:
    """Which duties are told to a person. Those that nobody sees to are told to all who may keep duties, so that none
    is told to nobody."""
    if is_all:
        return Q()
    own = Q(assignee=user.pk)
    return own | Q(assignee__isnull=True) if with_nobodys and may(user, Verb.KEEP_DUTIES) else own


def calendar_lines(address: CalendarAddress, today: date, ahead: int) -> list[DutyLine]:
    """Open duties with a day, for a calendar: one query."""
    told = duties_for(address.user, is_all=address.is_all, with_nobodys=False)
    rows = with_state(Duty.objects.filter(OPEN, told, due_on__isnull=False), today, ahead)
    return lines(list(rows.select_related("paper", "promise", "assignee").order_by("due_on", "pk")), address.user)


@dataclass(frozen=True)
class Digest:
    """What one person is told on one day: late, due, coming ones that are new since the last digest, and those of which
    the day is not known. These stay so for years, as of a paper without an end: only what is new makes a mail."""

    user: User
    late: Sequence[DutyLine]
    due: Sequence[DutyLine]
    new: Sequence[DutyLine]
    unknown: Sequence[DutyLine] = ()
    new_unknown: int = 0

    @property
    def is_wanted(self) -> bool:
        return bool(self.late or self.due or self.new or self.new_unknown)

    @property
    def count(self) -> int:
        return len(self.late) + len(self.due) + len(self.new) + len(self.unknown)


def digests(today: date, ahead: int) -> Iterator[Digest]:
    """The digests of the day of all who want one, have an address, were not told yet today, and have something to be
    told: four queries and one for each person."""
    wishes = dict(ReminderWish.objects.values_list("user", "wish"))
    last_told = dict(ReminderSent.objects.order_by("on").values_list("user", "on"))
    people = User.objects.filter(is_active=True).exclude(email="").order_by("pk")
    new_by_day = _new_since(today - timedelta(_LOOKS_BACK))
    for user in people:
        wish = wishes.get(user.pk, ReminderWish.Wish.OWN)
        since = last_told.get(user.pk, today - timedelta(1))
        if wish == ReminderWish.Wish.NONE or since >= today:
            continue
        digest = _digest(user, wish == ReminderWish.Wish.ALL, _made_after(new_by_day, since), today, ahead)
        if digest.is_wanted:
            yield digest


_LOOKS_BACK = 40
"""Days: what came up longer ago is not told as new, even to who was told nothing since."""


def _new_since(first: date) -> list[tuple[int, date]]:
    """Coming duties that were made on a day or later, each with that day."""
    made = Duty.history.filter(history_type="+", history_date__date__gte=first)
    return [(key, timezone.localdate(at)) for key, at in made.values_list("id", "history_date")]


def _made_after(new_by_day: Sequence[tuple[int, date]], since: date) -> frozenset[int]:
    """Also those of the day of the last digest: whether they were made before or after it is not kept, and told twice
    is better than never."""
    return frozenset(key for key, day in new_by_day if day >= since)


def _digest(user: User, is_all: bool, new: frozenset[int], today: date, ahead: int) -> Digest:
    told = duties_for(user, is_all=is_all, with_nobodys=True)
    rows: QuerySet[Duty] = with_state(Duty.objects.filter(OPEN, told), today, ahead)
    found = lines(list(rows.select_related("paper", "promise", "assignee").order_by("due_on", "pk")), user)
    unknown = [line for line in found if line.state == State.DAY_NOT_KNOWN]
    return Digest(
        user,
        [line for line in found if line.state == State.LATE],
        [line for line in found if line.state == State.DUE],
        [line for line in found if line.state == State.COMING and line.duty.pk in new],
        unknown, sum(line.duty.pk in new for line in unknown),
    )  # fmt: skip
