"""Who took the material, and whether their papers name them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from django.db.models import Prefetch
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import SamplingEvent
from accessions.people.wording import in_a_list
from accessions.values import split_people
from governance.audit.asking import Answer, Asked, Cell, Column, Group, Missing, Question
from governance.audit.questions.taking.by_event import Asks, EventAnswers, Said, TestAnswer
from governance.audit.questions.taking.event_answer import EventQuestion, event_answer
from governance.audit.questions.taking.event_scope import PARAMETERS, EventScope
from governance.audit.questions.wording import specimens_words
from governance.papers.models import PaperVersion, VersionPerson
from governance.verdicts.settling import ADVICE, Test

_PEOPLE_SHOWN: Final = 10
_CODES: Final = frozenset(code for code, one in ADVICE.items() if one.test is Test.PEOPLE)
_SUPERVISED: Final = "supervision-not-evidenced"

_ASKS: Final = Asks(
    _CODES, frozenset({_SUPERVISED}), PaperVersion.objects.filter(versionpersons__isnull=False),
    Prefetch("versionpersons", VersionPerson.objects.order_by("position", "pk")),
    lambda version: bool(version.versionpersons.all()),
    lambda version: version.assistants == PaperVersion.Assistants.SUPERVISED,
)  # fmt: skip

_OF_CODE: Final = {
    "person": gettext_lazy("not named"), "person-mixed": gettext_lazy("not all of them are named"),
    "person-missing": gettext_lazy("cannot be told: nobody is recorded"),
    "person-maybe": gettext_lazy("cannot be told from the initials"),
    "version-vague": gettext_lazy("cannot be told: the date touches versions that do not agree"),
    _SUPERVISED: gettext_lazy("helpers of somebody named; that they were supervised is not evidenced"),
}  # fmt: skip


def answer(asked: Asked) -> Answer:
    """From the findings of the verdicts that stand, and the people as the records write them."""
    return event_answer(asked, _QUESTION)


def _cells(event: SamplingEvent) -> tuple[Cell, ...]:
    return (", ".join(split_people(event.recorded_by)) or _("nobody is recorded"),)


def _answer_words(one: TestAnswer, is_open: bool) -> str:
    if one.code in _OF_CODE:
        return str(_OF_CODE[one.code])
    if not is_open:
        return _("within what the paper says of people")
    if any(version.assistants == PaperVersion.Assistants.ALLOWED for version in one.versions):
        return _("named, or helpers of somebody named, whom the paper allows")
    if one.hides_remark:
        return _("named, or helpers of somebody named; whether they were supervised was not looked at")
    return _("named")


def _said_words(said: Said, count: int) -> str:
    words = {
        Said.NO: ngettext(
            "%(n)s was taken by people who are not named on the paper",
            "%(n)s were taken by people who are not named on the paper", count,
        ),
        Said.UNKNOWN: _("of %(n)s it cannot be told whether those who took them are named"),
        Said.REMARK: ngettext(
            "%(n)s was taken with helpers whose supervision is not evidenced",
            "%(n)s were taken with helpers whose supervision is not evidenced", count,
        ),
        Said.YES: ngettext(
            "%(n)s was taken by people whom the papers allow", "%(n)s were taken by people whom the papers allow", count
        ),
        Said.NO_LIMIT: _("for %(n)s no paper that was tested names people"),
    }[said]  # fmt: skip
    return words % {"n": specimens_words(count)}


def _lead(scope: EventScope, events: Sequence[SamplingEvent]) -> str:
    if scope.is_whole:
        return _("By what the papers say of people, for the whole register:")
    people = list(dict.fromkeys(name for event in events for name in split_people(event.recorded_by)))
    if not people:
        return _("Nobody is recorded as collector for %(what)s.") % {"what": scope.words}
    told = people[:_PEOPLE_SHOWN]
    more = len(people) - len(told)
    if more:
        told.append(ngettext("%(n)d other", "%(n)d others", more) % {"n": more})
    return _("Collected for %(what)s: %(people)s.") % {"what": scope.words, "people": in_a_list(told)}


def _missing(groups: Sequence[EventAnswers], events: Mapping[int, SamplingEvent]) -> list[Missing]:
    nobody = sum(group.specimens for group in groups if not split_people(events[group.event].recorded_by))
    helped = sum(group.specimens for group in groups if group.worst == Said.REMARK)
    told = ((_("Who collected: of these specimens nobody is recorded."), nobody),
            (_("Notes of who supervised: for these specimens there are none."), helped))  # fmt: skip
    return [Missing(words, count) for words, count in told if count]


_QUESTION: Final = EventQuestion(
    asks=_ASKS, columns=(Column("people", gettext_lazy("Collected by")),), cells=_cells, answer_words=_answer_words,
    said_words=_said_words, lead=_lead,
    no_limit=gettext_lazy("no paper that was tested names people"), missing=_missing,
    notes=(
        gettext_lazy("Names are those of the record; whether a paper names them is as the verdict found it, on the "
                     "paper that came nearest; the holder counts as named (verdicts, section 6)."),
    ),
)  # fmt: skip

WHO_COLLECTED: Final = Question(
    key="who-collected",
    group=Group.TAKING,
    title=gettext_lazy("Who collected, and were they named or supervised?"),
    shows=gettext_lazy(
        "Who is recorded for each event, and whether the papers tested name them, allow helpers, or ask for a "
        "supervision of which there is no note."
    ),
    answer=answer,
    parameters=PARAMETERS,
)
