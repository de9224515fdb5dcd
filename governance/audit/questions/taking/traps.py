"""By which methods material was taken, whether the papers allow them, and how long the traps stood."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Prefetch
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import SamplingEvent
from accessions.people.wording import in_a_list
from accessions.values import split_list
from governance.audit.asking import Answer, Asked, Cell, Column, ColumnKind, Group, Missing, Question
from governance.audit.questions.taking.by_event import Asks, EventAnswers, Said, TestAnswer
from governance.audit.questions.taking.event_answer import EventQuestion, event_answer
from governance.audit.questions.taking.event_scope import PARAMETERS, EventScope
from governance.audit.questions.wording import specimens_words
from governance.papers.models import PaperVersion, VersionWord
from governance.verdicts.settling import ADVICE, Test

_METHODS_SHOWN: Final = 10
_CODES: Final = frozenset(code for code, one in ADVICE.items() if one.test is Test.METHODS)

_ASKS: Final = Asks(
    _CODES, frozenset(), PaperVersion.objects.filter(versionwords__subject="methods"),
    Prefetch("versionwords", VersionWord.objects.filter(subject="methods").order_by("position", "pk"), "method_words"),
    lambda version: bool(getattr(version, "method_words", ())),
    lambda version: False,
)  # fmt: skip

_OF_CODE: Final = {
    "method": gettext_lazy("not allowed"),
    "method-mixed": gettext_lazy("not all are allowed; which one took it is not recorded"),
    "method-missing": gettext_lazy("cannot be told: no method is recorded"),
    "version-vague": gettext_lazy("cannot be told: the date touches versions that do not agree"),
}  # fmt: skip

_COLUMNS: Final = (
    Column("methods", gettext_lazy("Methods")),
    Column("nights", gettext_lazy("Nights"), ColumnKind.NUMBER),
    Column("hours", gettext_lazy("Hours"), ColumnKind.NUMBER),
)


def answer(asked: Asked) -> Answer:
    """From the findings of the verdicts that stand, and the methods and days as the records write them."""
    return event_answer(asked, _QUESTION)


def _cells(event: SamplingEvent) -> tuple[Cell, ...]:
    methods = ", ".join(split_list(event.sampling_protocol)) or _("none is recorded")
    return (methods, nights_of(event), hours_of(event.event_date))


def nights_of(event: SamplingEvent) -> int | None:
    """Nights between the first and the last day of an event that is known to the day; None where that is not known."""
    if event.reading != SamplingEvent.Reading.RUN or event.earliest_on is None or event.latest_on is None:
        return None
    return int((event.latest_on - event.earliest_on).days)


def hours_of(event_date: str) -> float | None:
    """Hours between two times of a Darwin Core interval; None where it does not give both, or one has a zone alone.

    >>> hours_of("2024-06-17T20:30/2024-06-18T06:00"), hours_of("2024-06-17/2024-06-18")
    (9.5, None)
    """
    ends = event_date.strip().split("/")
    if len(ends) != 2 or not all("T" in end for end in ends):
        return None
    try:
        first, last = (datetime.fromisoformat(end) for end in ends)
    except ValueError:
        return None
    if (first.tzinfo is None) != (last.tzinfo is None) or last < first:
        return None
    return round((last - first).total_seconds() / 3600, 1)


def _answer_words(one: TestAnswer, is_open: bool) -> str:
    return str(_OF_CODE[one.code]) if one.code in _OF_CODE else _("allowed")


def _said_words(said: Said, count: int) -> str:
    words = {
        Said.NO: ngettext(
            "%(n)s was taken by a method that the paper does not allow",
            "%(n)s were taken by methods that the paper does not allow", count,
        ),
        Said.UNKNOWN: _("of %(n)s it cannot be told whether the method was allowed"),
        Said.REMARK: "",
        Said.YES: ngettext(
            "%(n)s was taken by methods that the papers allow", "%(n)s were taken by methods that the papers allow",
            count,
        ),
        Said.NO_LIMIT: _("for %(n)s no paper that was tested limits methods"),
    }[said]  # fmt: skip
    return words % {"n": specimens_words(count)}


def _lead(scope: EventScope, events: Sequence[SamplingEvent]) -> str:
    if scope.is_whole:
        return _("By what the papers say of methods, for the whole register:")
    methods = list(dict.fromkeys(one for event in events for one in split_list(event.sampling_protocol)))
    if not methods:
        return _("No method is recorded for %(what)s.") % {"what": scope.words}
    told = methods[:_METHODS_SHOWN]
    more = len(methods) - len(told)
    if more:
        told.append(ngettext("%(n)d other", "%(n)d others", more) % {"n": more})
    nights = [count for event in events if (count := nights_of(event)) is not None]
    words = ngettext(
        "Methods recorded for %(what)s, in %(events)d event: %(methods)s; %(nights)s.",
        "Methods recorded for %(what)s, in %(events)d events: %(methods)s; %(nights)s.", len(events),
    )  # fmt: skip
    values = {"what": scope.words, "events": len(events), "methods": in_a_list(told), "nights": _nights_words(nights)}
    return words % values


def _nights_words(nights: Sequence[int]) -> str:
    if not nights:
        return _("how many nights is not known")
    return ngettext("%(n)s night in all", "%(n)s nights in all", sum(nights)) % {"n": intcomma(sum(nights))}


def _missing(groups: Sequence[EventAnswers], events: Mapping[int, SamplingEvent]) -> list[Missing]:
    blank = sum(group.specimens for group in groups if not split_list(events[group.event].sampling_protocol))
    vague = len([event for event in events.values() if nights_of(event) is None])
    told = ((_("The method: of these specimens none is recorded."), blank),
            (_("The days of these events: how long they lasted is not known."), vague))  # fmt: skip
    found = [Missing(words, count) for words, count in told if count]
    if groups:
        found.append(Missing(_("How many traps stood: an event keeps its methods and days, and no number of traps.")))
    return found


_QUESTION: Final = EventQuestion(
    asks=_ASKS, columns=_COLUMNS, cells=_cells, answer_words=_answer_words, said_words=_said_words, lead=_lead,
    no_limit=gettext_lazy("no paper that was tested limits methods"),
    missing=_missing,
    notes=(
        gettext_lazy("Whether it is allowed is as the verdict found it, on the nearest paper (verdicts, section 6)."),
        gettext_lazy("Nights run from the first to the last day; hours are told where both times are recorded."),
    ),
)  # fmt: skip

TRAPS: Final = Question(
    key="traps",
    group=Group.TAKING,
    title=gettext_lazy("Was the trap type allowed; how many, how long?"),
    shows=gettext_lazy(
        "The methods of each event with its nights and hours, and whether the papers that were tested allow them."
    ),
    answer=answer,
    parameters=PARAMETERS,
)
