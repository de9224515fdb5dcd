"""Requests for the list: who asks for what, until when, how each stands. Nothing is answered here: that takes long."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any, Final

from django.db.models import Case, Count, Exists, F, IntegerField, OuterRef, Q, QuerySet, Subquery, Value, When
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from governance.usedesk.models import ProviderQuestion, Recipient, RequestItem, UseRequest


class State(StrEnum):
    """How far a request is, derived from its rows."""

    TAKING_DOWN = "taking-down"
    WAITING = "waiting"
    TO_DECIDE = "to-decide"
    ANSWERED = "answered"
    CLOSED = "closed"


STATE_WORDS: Final = {
    State.TAKING_DOWN: _("No specimens yet"),
    State.WAITING: _("Waits for a provider"),
    State.TO_DECIDE: _("To decide"),
    State.ANSWERED: _("Answered"),
    State.CLOSED: _("Closed"),
}

OPEN: Final = Q(closed_at__isnull=True, answered_at__isnull=True)
"""Requests that still want an answer."""

SORTS: Final = {
    "reference": "reference", "title": "title", "recipient": "recipient__name", "asked": "asked_on",
    "by": "answer_by", "specimens": "item_count",
}  # fmt: skip
"""Columns by which the list is ordered, each both ways."""


@dataclass(frozen=True)
class Wanted:
    """What the list is narrowed to; blank is all. state: of ``State``, or "open". use: number of a use."""

    q: str = ""
    state: str = ""
    use: str = ""
    recipient: str = ""
    country: str = ""
    late: bool = False
    sort: str = ""


@dataclass(frozen=True)
class Line:
    """One request in the list. undecided: specimens without a decision. waiting: questions without a reply."""

    request: UseRequest
    state: State
    specimens: int
    undecided: int
    approved: int
    waiting: int
    today: date

    @property
    def state_words(self) -> Any:
        return STATE_WORDS[self.state]

    @property
    def is_late(self) -> bool:
        """The day by which it was to be answered has passed."""
        is_open = self.state not in (State.ANSWERED, State.CLOSED)
        return is_open and self.request.answer_by is not None and self.request.answer_by < self.today

    @property
    def days_left(self) -> int | None:
        return (self.request.answer_by - self.today).days if self.request.answer_by else None


def use_requests(wanted: Wanted, today: date) -> QuerySet[UseRequest]:
    """Requests with ``item_count``, ``undecided_count``, ``approved_count`` and ``waiting_count``: one query."""
    items = RequestItem.objects.filter(request=OuterRef("pk"))
    asked = ProviderQuestion.objects.filter(request=OuterRef("pk"), reply="")
    rows = UseRequest.objects.select_related("recipient").annotate(
        item_count=_counted(items), undecided_count=_counted(items.filter(decision__isnull=True)),
        approved_count=_counted(items.filter(decision__is_approved=True)), waiting_count=_counted(asked),
    )  # fmt: skip
    return _ordered(_narrowed(rows, wanted, today), wanted.sort, today)


def _counted(rows: QuerySet[Any]) -> Coalesce:
    counted = rows.order_by().values("request").annotate(n=Count("pk")).values("n")
    return Coalesce(Subquery(counted, output_field=IntegerField()), 0)


def _narrowed(rows: QuerySet[UseRequest], wanted: Wanted, today: date) -> QuerySet[UseRequest]:
    for word in wanted.q.split():
        own = Q(reference__icontains=word) | Q(title__icontains=word) | Q(asked_by__icontains=word)
        rows = rows.filter(own | Q(purpose__icontains=word) | Q(recipient__name__icontains=word))
    if wanted.state:
        rows = rows.filter(in_state(wanted.state))
    if wanted.use:
        rows = rows.alias(_asks=F("uses").bitand(1 << int(wanted.use))).filter(_asks__gt=0)
    if wanted.recipient:
        rows = rows.filter(recipient=int(wanted.recipient))
    if wanted.country:
        rows = rows.filter(country=wanted.country)
    return rows.filter(OPEN, answer_by__lt=today) if wanted.late else rows


def in_state(state: str) -> Q:
    """The requests that stand so; "open" are all that want an answer."""
    items = Exists(RequestItem.objects.filter(request=OuterRef("pk")))
    asked = Exists(ProviderQuestion.objects.filter(request=OuterRef("pk"), reply=""))
    return {
        "open": OPEN,
        State.TAKING_DOWN: OPEN & ~Q(items),
        State.WAITING: OPEN & Q(items) & Q(asked),
        State.TO_DECIDE: OPEN & Q(items) & ~Q(asked),
        State.ANSWERED: Q(closed_at__isnull=True, answered_at__isnull=False),
        State.CLOSED: Q(closed_at__isnull=False),
    }[state]


def _ordered(rows: QuerySet[UseRequest], sort: str, today: date) -> QuerySet[UseRequest]:
    """Unless asked otherwise: what is late first, then what is open by its day, then the rest, newest first."""
    if column := SORTS.get(sort.removeprefix("-")):
        by = F(column).desc(nulls_last=True) if sort.startswith("-") else F(column).asc(nulls_last=True)
        return rows.order_by(by, "-pk")
    rank = Case(
        When(OPEN & Q(answer_by__lt=today), then=Value(0)), When(OPEN, then=Value(1)),
        When(closed_at__isnull=True, then=Value(2)), default=Value(3), output_field=IntegerField(),
    )  # fmt: skip
    due = Case(When(OPEN, then=F("answer_by")))
    return rows.annotate(rank=rank, due=due).order_by("rank", F("due").asc(nulls_last=True), "-asked_on", "-pk")


def line_of(request: Any, today: date) -> Line:
    """A request of ``use_requests`` as a line."""
    return Line(
        request, _state(request), request.item_count, request.undecided_count, request.approved_count,
        request.waiting_count, today,
    )  # fmt: skip


def _state(request: Any) -> State:
    if request.closed_at is not None:
        return State.CLOSED
    if request.answered_at is not None:
        return State.ANSWERED
    if not request.item_count:
        return State.TAKING_DOWN
    return State.WAITING if request.waiting_count else State.TO_DECIDE


def counts(today: date) -> Mapping[str, int]:
    """How many requests there are, by how they stand: one query."""
    found: Mapping[str, int] = UseRequest.objects.aggregate(
        all=Count("pk"), open=Count("pk", filter=OPEN), late=Count("pk", filter=OPEN & Q(answer_by__lt=today)),
    )  # fmt: skip
    return found


def countries_asked() -> list[str]:
    """The countries to which something is to go."""
    return list(UseRequest.objects.exclude(country="").order_by("country").values_list("country", flat=True).distinct())


def recipients_asking() -> list[tuple[int, str]]:
    """Recipients that some request names."""
    rows = Recipient.objects.filter(Exists(UseRequest.objects.filter(recipient=OuterRef("pk"))))
    return list(rows.values_list("pk", "name"))


def next_reference(today: date) -> str:
    """The number after the highest of this year's, of those that are numbered ``UR-YYYY-NNN``."""
    pattern = re.compile(rf"UR-{today.year}-(\d{{1,6}})")
    known = UseRequest.objects.filter(reference__startswith=f"UR-{today.year}-").values_list("reference", flat=True)
    number = max([int(match[1]) for text in known if (match := pattern.fullmatch(text))], default=0) + 1
    return f"UR-{today.year}-{number:03}"
