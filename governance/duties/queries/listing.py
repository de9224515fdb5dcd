"""Duties for their list and its files: how each stands, what the list is narrowed to, and the counts above it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

from django.db.models import Case, CharField, Count, F, Q, QuerySet, Value, When
from django.utils.translation import gettext_lazy as _

from accessions.people.access import role_bits
from governance.duties.models import Duty, DutyHouse
from governance.duties.words import OPEN_STATES, STATES
from governance.engine.duties import State, add_months
from governance.papers.countries import country_name
from governance.papers.restriction import opens, restricted_words

AHEAD_DAYS: Final = 30
"""From how many days before its day on a duty is shown as due, as long as the house has not said."""

SORTS: Final = {
    "due": ("due_on",), "kind": ("kind",), "paper": ("paper__reference",), "who": ("assignee__last_name",),
    "state": ("_rank",),
}  # fmt: skip
"""Columns by which the list is ordered, each both ways."""

NOBODY: Final = "nobody"
MINE: Final = "me"


@dataclass(frozen=True)
class Wanted:
    """What the list is narrowed to; blank is all. state: "" all that are open, "all", or a word of ``State``.
    who: key of a person, ``MINE`` or ``NOBODY``. on: the day on which duties fall due. month: its first day."""

    q: str = ""
    state: str = ""
    kind: str = ""
    paper: str = ""
    country: str = ""
    who: str = ""
    on: date | None = None
    month: date | None = None
    sort: str = "due"


def ahead_days() -> int:
    """From how many days before its day on a duty is shown as due."""
    said = DutyHouse.objects.values_list("ahead_days", flat=True).first()
    return AHEAD_DAYS if said is None else said


def with_state(rows: QuerySet[Duty], today: date, ahead: int | None = None) -> QuerySet[Duty]:
    """The rows with ``state``: ``engine.duties.state_of`` as an expression of the database, so that lists can count
    and page. A test holds the two together over every combination."""
    until = today + timedelta(ahead_days() if ahead is None else ahead)
    state = Case(
        When(accepted_on__isnull=False, then=Value(State.ACCEPTED.value)),
        When(done_on__isnull=False, then=Value(State.DONE.value)),
        When(waived_on__isnull=False, then=Value(State.WAIVED.value)),
        When(dropped_on__isnull=False, then=Value(State.NO_LONGER_ASKED.value)),
        When(due_on__isnull=True, then=Value(State.DAY_NOT_KNOWN.value)),
        When(due_on__lt=today, then=Value(State.LATE.value)),
        When(due_on__lte=until, then=Value(State.DUE.value)),
        default=Value(State.COMING.value),
        output_field=CharField(),
    )
    return rows.annotate(state=state)


OPEN: Final = Q(done_on__isnull=True, waived_on__isnull=True, dropped_on__isnull=True)
"""What is still to be done: nothing is entered of it, and it is asked for."""


def open_duties(today: date, ahead: int | None = None) -> QuerySet[Duty]:
    """Duties that are still to be done, by their day, those without a day last."""
    return with_state(Duty.objects.filter(OPEN), today, ahead)


def duties(wanted: Wanted, reader: Any, today: date, ahead: int | None = None) -> QuerySet[Duty]:
    """Duties with ``state``, narrowed and ordered as asked. Words are searched only where the reader may read them."""
    rows = with_state(Duty.objects.select_related("paper", "promise", "assignee"), today, ahead)
    return _ordered(_of_state(_narrowed(rows, wanted, reader), wanted.state), wanted.sort)


MOST_CHOSEN: Final = 101
"""One more than may be changed at once, so that too many are told from all."""


def chosen(keys: Collection[int], today: date) -> QuerySet[Duty]:
    """Duties by their keys, for what is done to several at once."""
    rows = Duty.objects.filter(pk__in=keys).select_related("paper", "promise", "assignee")
    return with_state(rows, today)[:MOST_CHOSEN]


def counts(wanted: Wanted, reader: Any, today: date, ahead: int | None = None) -> dict[State, int]:
    """How many duties stand in each state, of those that the other filters leave: one query."""
    rows: QuerySet[Any] = _narrowed(with_state(Duty.objects.all(), today, ahead), wanted, reader)
    found = dict(rows.order_by().values_list("state").annotate(n=Count("pk")))
    return {state: found.get(state.value, 0) for state in STATES}


def _narrowed(rows: QuerySet[Duty], wanted: Wanted, reader: Any) -> QuerySet[Duty]:
    if wanted.q:
        rows = rows.alias(_opened=F("paper__restricted_to").bitand(role_bits([reader.role])))
    for word in wanted.q.split():
        rows = rows.filter(_says(word))
    if wanted.kind:
        rows = rows.filter(kind=wanted.kind)
    if wanted.paper:
        rows = rows.filter(paper=int(wanted.paper))
    if wanted.country:
        rows = rows.filter(_of_country(wanted.country))
    if wanted.on:
        rows = rows.filter(due_on=wanted.on)
    if wanted.month:
        rows = rows.filter(due_on__gte=wanted.month, due_on__lt=add_months(wanted.month, 1))
    return _of_person(rows, wanted.who, reader)


def _says(word: str) -> Q:
    """Words that stand open to everybody, and those of papers that the reader may read: what cannot be read must not
    be found out by searching for it."""
    shown = Q(paper__isnull=True) | Q(_opened__gt=0)
    closed_words = Q(what__icontains=word) | Q(to_whom__icontains=word) | Q(note__icontains=word)
    return Q(paper__reference__icontains=word) | Q(label__icontains=word) | (shown & closed_words)


def _of_country(code: str) -> Q:
    return Q(paper__jurisdiction=code) | Q(paper__jurisdiction__startswith=f"{code}-") | Q(promise__country=code)


def _of_person(rows: QuerySet[Duty], who: str, reader: Any) -> QuerySet[Duty]:
    if who == NOBODY:
        return rows.filter(assignee__isnull=True)
    if who == MINE:
        return rows.filter(assignee=reader.pk)
    return rows.filter(assignee=int(who)) if who else rows


def _of_state(rows: QuerySet[Any], state: str) -> QuerySet[Duty]:
    if state == "all":
        return rows
    return rows.filter(state=state) if state else rows.filter(OPEN)


def _ordered(rows: QuerySet[Duty], sort: str) -> QuerySet[Duty]:
    name = sort.removeprefix("-")
    if name == "state":
        rank = [When(state=state.value, then=Value(number)) for number, state in enumerate(STATES)]
        rows = rows.annotate(_rank=Case(*rank, default=Value(len(STATES))))
    columns = [F(column) for column in SORTS.get(name, SORTS["due"])]
    down = sort.startswith("-")
    order = [column.desc(nulls_last=True) if down else column.asc(nulls_last=True) for column in columns]
    return rows.order_by(*order, F("due_on").asc(nulls_last=True), "pk")


@dataclass(frozen=True)
class DutyLine:
    """A duty in a list. hidden: the line in place of its words, where the paper is not open to the reader."""

    duty: Duty
    state: State
    hidden: str

    @property
    def state_name(self) -> Any:
        return STATES[self.state]

    @property
    def is_open(self) -> bool:
        return self.state in OPEN_STATES

    @property
    def what(self) -> str:
        """Its words, or what kind of thing is to be done where they are not open to the reader."""
        return str(self.duty.get_kind_display()) if self.hidden else self.duty.what

    @property
    def to_whom(self) -> str:
        return "" if self.hidden else self.duty.to_whom

    @property
    def country(self) -> str:
        return country_of(self.duty)


def lines(found: Sequence[Duty], reader: Any) -> list[DutyLine]:
    """Duties with ``state`` as a reader may see them. No query."""
    return [DutyLine(duty, State(duty.state), hidden_words(duty, reader)) for duty in found]  # type: ignore[attr-defined]


def hidden_words(duty: Duty, reader: Any) -> str:
    """The line in place of what its paper says; "" where the reader may read it, or it rests on no paper."""
    paper = duty.paper
    return "" if paper is None or opens(paper, reader) else restricted_words(paper.restricted_to)


def country_of(duty: Duty) -> str:
    """The country that it is owed to, as two letters; "" where none is known."""
    if duty.paper is not None and duty.paper.jurisdiction:
        return duty.paper.jurisdiction[:2]
    return duty.promise.country if duty.promise is not None else ""


def countries() -> list[str]:
    """Countries of duties, by name."""
    rows = Duty.objects.order_by().values_list("paper__jurisdiction", "promise__country").distinct()
    codes = {(jurisdiction or "")[:2] or (country or "") for jurisdiction, country in rows}
    return sorted(codes - {""}, key=country_name)


def people() -> list[tuple[int, str]]:
    """Who sees to duties, by name."""
    rows = Duty.objects.filter(assignee__isnull=False).order_by().values_list(
        "assignee", "assignee__first_name", "assignee__last_name", "assignee__username"
    ).distinct()  # fmt: skip
    named = [(pk, f"{first} {last}".strip() or name) for pk, first, last, name in rows]
    return sorted(named, key=lambda one: one[1])


HEADER: Final = (
    "key", "state", "due on", "days left", "kind", "what", "to whom", "paper", "country", "about from", "about to",
    "of", "seen to by", "done on", "nil return", "how done", "accepted on", "accepted by", "waived on",
    "waived because", "no longer asked for since",
)  # fmt: skip
WIDTHS: Final = (8, 16, 12, 9, 18, 60, 30, 18, 9, 12, 12, 24, 20, 12, 10, 40, 12, 30, 12, 30, 14)


def file_rows(wanted: Wanted, reader: Any, today: date) -> Iterator[tuple[Any, ...]]:
    """The rows of the file of the list. What a restricted paper says stays out for those who may not read it."""
    yield from told_rows(duties(wanted, reader, today), reader, today)


def told_rows(found: QuerySet[Duty], reader: Any, today: date) -> Iterator[tuple[Any, ...]]:
    """The same of any duties with ``state``."""
    for duty in found.iterator(chunk_size=500):
        (line,) = lines([duty], reader)
        yield (*_face(line, today), *_became(duty, open_to_reader=not line.hidden))


def _face(line: DutyLine, today: date) -> tuple[Any, ...]:
    duty = line.duty
    left = (duty.due_on - today).days if line.is_open and duty.due_on else ""
    return (
        duty.pk, str(line.state_name), duty.due_on, left, str(duty.get_kind_display()), line.hidden or duty.what,
        line.to_whom, duty.paper.reference if duty.paper else "", line.country, duty.about_from, duty.about_to,
        duty.label, duty.assignee.shown_name if duty.assignee else "",
    )  # fmt: skip


def _became(duty: Duty, *, open_to_reader: bool) -> tuple[Any, ...]:
    def told(text: str) -> str:
        return text if open_to_reader else ""

    return (
        duty.done_on, str(_("yes")) if duty.is_nil else "", told(duty.done_how), duty.accepted_on,
        told(duty.accepted_how), duty.waived_on, told(duty.waived_why), duty.dropped_on,
    )  # fmt: skip
