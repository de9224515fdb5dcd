"""Whether a return was sent for a time in which nothing was taken under the paper."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import Any, Final

from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from accessions.material.models import SamplingEvent
from accessions.people.wording import in_a_list
from governance.audit.asking import (
    Answer,
    Asked,
    Column,
    ColumnKind,
    Group,
    ListedRows,
    Missing,
    Parameter,
    ParameterKind,
    Question,
    Row,
)
from governance.audit.questions.addresses import duty_link, paper_link
from governance.audit.questions.telling import counted, day_words, days_after, sentences
from governance.audit.resolving import country_of, day_of, paper_of
from governance.duties.models import Duty
from governance.duties.queries.borne import borne
from governance.duties.queries.listing import DutyLine, Wanted, duties, lines
from governance.duties.queries.one_duty import NIL_KINDS
from governance.engine.duties import State
from governance.papers.models import Paper

_YEARS: Final = 2 * 365

_COLUMNS: Final = (
    Column("paper", gettext_lazy("Paper")),
    Column("country", gettext_lazy("Country"), ColumnKind.COUNTRY),
    Column("what", gettext_lazy("Asked for")),
    Column("about_from", gettext_lazy("About the time from"), ColumnKind.DAY),
    Column("about_to", gettext_lazy("to"), ColumnKind.DAY),
    Column("taken", gettext_lazy("Taken in that time")),
    Column("events", gettext_lazy("Events that may lie in it"), ColumnKind.NUMBER),
    Column("nil", gettext_lazy("Nil return")),
    Column("due", gettext_lazy("Due on"), ColumnKind.DAY),
    Column("done", gettext_lazy("Sent on"), ColumnKind.DAY),
    Column("how", gettext_lazy("How, and where the proof is")),
)


class _Taken(Enum):
    """What was taken under a paper in a time, as the days of the events say."""

    NOTHING = gettext_lazy("Nothing")
    PERHAPS = gettext_lazy("Perhaps: the day is not known, or only partly in it")
    SOMETHING = gettext_lazy("Something")


_NOTHING: Final = ngettext_lazy(
    "For %(n)s return nothing was taken under the paper in the time that it is about",
    "For %(n)s returns nothing was taken under the paper in the time that they are about", "count",
)  # fmt: skip
_MADE: Final = ngettext_lazy("%(n)s nil return was made", "%(n)s nil returns were made", "count")
_OTHERWISE: Final = ngettext_lazy(
    "%(n)s was sent without saying that it is nil", "%(n)s were sent without saying that they are nil", "count"
)
_LATE: Final = ngettext_lazy("%(n)s is late", "%(n)s are late", "count")
_TO_COME: Final = ngettext_lazy("%(n)s is still to be sent", "%(n)s are still to be sent", "count")
_WAIVED: Final = ngettext_lazy("%(n)s was waived", "%(n)s were waived", "count")
_PERHAPS: Final = ngettext_lazy(
    "For %(n)s more something may have been taken.", "For %(n)s more something may have been taken.", "count"
)
_AGAINST: Final = ngettext_lazy(
    "%(n)s nil return was made for a time in which material is on record.",
    "%(n)s nil returns were made for times in which material is on record.", "count",
)  # fmt: skip
_NO_DUTY: Final = ngettext_lazy(
    "Of %(n)s paper no duty to report is entered: whether a return was due is not known here.",
    "Of %(n)s papers no duty to report is entered: whether a return was due is not known here.", "count",
)  # fmt: skip
_KEPT: Final = ngettext_lazy(
    "Of %(n)s return what is asked and how it was sent is for readers of its paper.",
    "Of %(n)s returns what is asked and how they were sent is for readers of their papers.", "count",
)  # fmt: skip


@dataclass(frozen=True)
class _Return:
    """A return that is asked for, with what was taken in its time. events: that may lie in it, and do not surely."""

    line: DutyLine
    taken: _Taken
    events: int

    @property
    def duty(self) -> Duty:
        return self.line.duty

    @property
    def is_shown(self) -> bool:
        return self.taken is not _Taken.SOMETHING or self.duty.is_nil


def answer(asked: Asked) -> Answer:
    """Returns about a time that is over: about fifteen queries, whatever their number."""
    first, last = day_of(asked, "from") or days_after(asked.on, -_YEARS), day_of(asked, "to") or asked.on
    paper = paper_of(asked) if asked["paper"] else None
    wanted = Wanted(state="all", country=country_of(asked), paper=str(paper.pk) if paper else "")
    rows = duties(wanted, asked.reader, asked.on).filter(
        kind__in=NIL_KINDS, dropped_on__isnull=True, paper__isnull=False, about_from__isnull=False,
        about_to__range=(first, min(last, asked.on)),
    )  # fmt: skip
    found = _with_taken(lines(list(rows.order_by("paper__reference", "about_from", "pk")), asked.reader))
    shown = [one for one in found if one.is_shown]
    hidden = sum(1 for one in shown if one.line.hidden)
    return Answer(
        sentence=_sentence(shown, found, first, last), columns=_COLUMNS,
        rows=ListedRows([_row(one) for one in shown]), missing=tuple(_missing(paper)),
        kept_back=(counted(_KEPT, hidden),) if hidden else (), notes=tuple(_notes()),
    )  # fmt: skip


# What was taken -------------------------------------------------------------------------------------------------------

_Days = Mapping[int, tuple[date | None, date | None]]


def _with_taken(found: Sequence[DutyLine]) -> list[_Return]:
    """By the material on which each paper bears by itself, as ``duties.queries.nil_returns`` counts it: of one time
    with another, a test holds the two together."""
    spans = [(one.duty.about_from, one.duty.about_to) for one in found]
    firsts, lasts = [first for first, _last in spans if first], [last for _first, last in spans if last]
    days = _days_between(min(firsts), max(lasts)) if firsts and lasts else {}
    papers = {one.duty.paper_id for one in found if one.duty.paper_id is not None}
    groups = borne(list(days)).groups_of(papers) if days else {}
    events = {paper: {group.event for group in of} for paper, of in groups.items()}
    return [_return(one, events.get(one.duty.paper_id or 0, set()), days) for one in found]


def _days_between(first: date, last: date) -> _Days:
    """The events that may lie between two days, with their own: one query."""
    began = Q(earliest_on__isnull=True) | Q(earliest_on__lte=last)
    ended = Q(latest_on__isnull=True) | Q(latest_on__gte=first)
    rows = SamplingEvent.objects.filter(began, ended).order_by().values_list("pk", "earliest_on", "latest_on")
    return {pk: (earliest, latest) for pk, earliest, latest in rows}


def _return(line: DutyLine, events: Collection[int], days: _Days) -> _Return:
    first, last = line.duty.about_from or date.min, line.duty.about_to or date.max
    spans = [days[event] for event in events]
    meeting = [span for span in spans if (span[0] or date.min) <= last and (span[1] or date.max) >= first]
    inside = sum(1 for start, end in meeting if start and end and first <= start and end <= last)
    if inside:
        return _Return(line, _Taken.SOMETHING, len(meeting) - inside)
    return _Return(line, _Taken.PERHAPS if meeting else _Taken.NOTHING, len(meeting))


# What is said of it ---------------------------------------------------------------------------------------------------


def _row(one: _Return) -> Row:
    duty, line = one.duty, one.line
    return Row(
        f"duty:{duty.pk}",
        (
            paper_link(duty.paper) if duty.paper else None, line.country, duty_link(duty, line.what), duty.about_from,
            duty.about_to, str(one.taken.value), one.events, _nil_words(one), duty.due_on, duty.done_on,
            line.hidden if line.hidden and duty.done_on else "" if line.hidden else duty.done_how,
        ),
    )  # fmt: skip


def _nil_words(one: _Return) -> str:
    if one.duty.is_nil:
        is_against = one.taken is _Taken.SOMETHING
        return _("Made; material of that time is on record") if is_against else _("Made")
    if one.duty.done_on is not None:
        return _("Sent, not said to be nil")
    return str(one.line.state_name)


def _sentence(shown: Sequence[_Return], found: Sequence[_Return], first: date, last: date) -> str:
    span = {"first": day_words(first), "last": day_words(last)}
    if not found:
        return _("No return is asked for about a time that ended between %(first)s and %(last)s.") % span
    nothing = [one for one in shown if one.taken is _Taken.NOTHING]
    perhaps = sum(1 for one in shown if one.taken is _Taken.PERHAPS)
    against = sum(1 for one in shown if one.taken is _Taken.SOMETHING)
    became = _became(nothing)
    return sentences(
        f"{counted(_NOTHING, len(nothing))}{f': {became}' if became else ''}.",
        counted(_PERHAPS, perhaps) if perhaps else "", counted(_AGAINST, against) if against else "",
    )  # fmt: skip


def _became(nothing: Sequence[_Return]) -> str:
    states = Counter[Any](one.line.state for one in nothing if one.duty.done_on is None)
    done = [one.duty.is_nil for one in nothing if one.duty.done_on is not None]
    to_come = states[State.DUE] + states[State.COMING] + states[State.DAY_NOT_KNOWN]
    numbers = (
        (_MADE, sum(done)), (_OTHERWISE, len(done) - sum(done)), (_LATE, states[State.LATE]), (_TO_COME, to_come),
        (_WAIVED, states[State.WAIVED]),
    )  # fmt: skip
    return in_a_list(counted(words, number) for words, number in numbers if number)


def _missing(paper: Paper | None) -> Iterator[Missing]:
    papers = Paper.objects.all() if paper is None else Paper.objects.filter(pk=paper.pk)
    asking = Duty.objects.filter(kind__in=NIL_KINDS, dropped_on__isnull=True, paper__isnull=False)
    without = papers.exclude(pk__in=asking.order_by().values("paper")).count()
    if without:
        yield Missing(counted(_NO_DUTY, without), without, reverse("duties:rules"))


def _notes() -> Iterator[str]:
    yield _(
        "Material counts as taken under a paper that is linked to it, by itself, its accession, its event or its site. "
        "An event counts as in the time if all its days are; one whose days are not known, or only partly in it, may "
        "be."
    )
    yield _("Rules that ask for no return where nothing was taken make no duty, and so no row here.")


QUESTION: Final = Question(
    "nil-returns", Group.DUTIES, gettext_lazy("Was it reported where nothing was taken under a paper?"),
    gettext_lazy("Returns about a time in which nothing, or perhaps nothing, was taken: whether a nil return was "
                 "sent, and when."), answer,
    (
        Parameter("country", ParameterKind.COUNTRY, gettext_lazy("Country"),
                  help=gettext_lazy("Whose authorities gave the paper; blank: any")),
        Parameter("paper", ParameterKind.PAPER, gettext_lazy("Paper"), help=gettext_lazy("Its reference; blank: any")),
        Parameter("from", ParameterKind.DAY, gettext_lazy("About a time that ended from"),
                  help=gettext_lazy("Blank: two years before")),
        Parameter("to", ParameterKind.DAY, gettext_lazy("to"), help=gettext_lazy("Blank: the day asked for")),
    ),
)  # fmt: skip
