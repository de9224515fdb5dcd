"""The answer of a question about events: what one test of the papers found, by event, or by paper for a register."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.material.models import SamplingEvent
from governance.audit.asking import Answer, Asked, Cell, Column, ColumnKind, ListedRows, Missing, Row
from governance.audit.questions.addresses import link
from governance.audit.questions.taking.by_event import (
    Asks,
    EventAnswers,
    Said,
    TestAnswer,
    answers_by_event,
    answers_by_paper,
    only_of,
    specimens_by_said,
)
from governance.audit.questions.taking.event_scope import (
    EventScope,
    event_scope,
    event_words,
    events_of,
    in_order,
)
from governance.papers.models import LAYER_NAMES
from governance.papers.restriction import is_readable, opens
from governance.verdicts.shown_days import event_day

_BEFORE: Final = (Column("event", gettext_lazy("Event")), Column("collected", gettext_lazy("Collected")))
_PAPER: Final = (Column("layer", gettext_lazy("Layer")), Column("paper", gettext_lazy("Paper")))
_ANSWER: Final = Column("answer", gettext_lazy("Answer"))
_SPECIMENS: Final = Column("specimens", gettext_lazy("Specimens"), ColumnKind.NUMBER)
_BY_EVENT: Final = (Column("accession", gettext_lazy("Accession")), _SPECIMENS, *_PAPER, _ANSWER)


@dataclass(frozen=True)
class EventQuestion:
    """What differs between questions about events.

    columns, cells: what a row shows of its event. answer_words: of an answer, and whether the reader may read all of
    its papers. said_words: so many specimens fared so, in the words of the sentence; the worst are told first.
    no_limit: that no paper limits it. lead: the beginning of the sentence. missing: records that lack.
    """

    asks: Asks
    columns: tuple[Column, ...]
    cells: Callable[[SamplingEvent], tuple[Cell, ...]]
    answer_words: Callable[[TestAnswer, bool], str]
    said_words: Callable[[Said, int], str]
    no_limit: Any
    lead: Callable[[EventScope, Sequence[SamplingEvent]], str]
    missing: Callable[[Sequence[EventAnswers], Mapping[int, SamplingEvent]], list[Missing]]
    notes: tuple[Any, ...]


def event_answer(asked: Asked, question: EventQuestion) -> Answer:
    """By event for a specimen, an accession or a paper; by paper for the whole register."""
    scope = event_scope(asked)
    return _by_paper(asked, question, scope) if scope.is_whole else _by_event(asked, question, scope)


def _by_event(asked: Asked, question: EventQuestion, scope: EventScope) -> Answer:
    """Twelve queries, whatever the number of events."""
    groups = answers_by_event(scope.standings, question.asks)
    if scope.paper is not None:
        groups = only_of(groups, scope.paper)
    events = events_of(groups, scope.standings)
    said = specimens_by_said(groups)
    ordered = in_order(groups, events)
    known = [events[key] for key in dict.fromkeys(group.event for group in ordered)]
    if not known and scope.specimen:
        known = [scope.specimen.event]
    return Answer(
        sentence=question.lead(scope, known) + _told(question, said),
        columns=(*_BEFORE, *question.columns, *_BY_EVENT),
        rows=ListedRows(_event_rows(ordered, events, question, asked.reader)),
        missing=(*question.missing(groups, events), *scope.unchecked),
        notes=tuple(str(note) for note in question.notes),
        total=said.get(Said.NO, 0) + said.get(Said.UNKNOWN, 0),
    )


def _event_rows(
    groups: Sequence[EventAnswers], events: Mapping[int, SamplingEvent], question: EventQuestion, reader: Any
) -> list[Row]:
    counted: Counter[str] = Counter()
    first: dict[str, tuple[EventAnswers, TestAnswer | None]] = {}
    for group in groups:
        for one in group.answers or (None,):
            key = f"event:{group.event}:accession:{group.accession}:{_key(one)}"
            counted[key] += group.specimens
            first.setdefault(key, (group, one))
    rows = []
    for key, (group, one) in first.items():
        event = events[group.event]
        accession = link("accession", group.accession, group.accession_number)
        rows.append(
            Row(key, (
                event_words(event), event_day(event), *question.cells(event), accession, counted[key],
                *_answer_cells(one, question, reader),
            ))
        )  # fmt: skip
    return rows


def _by_paper(asked: Asked, question: EventQuestion, scope: EventScope) -> Answer:
    """Six queries. Papers that set no limit are left out."""
    found = answers_by_paper(scope.standings, question.asks)
    counted: Counter[str] = Counter()
    first: dict[str, TestAnswer] = {}
    for one, count in found.answers.items():
        counted[_key(one)] += count
        first.setdefault(_key(one), one)
    ordered = sorted(first.items(), key=lambda item: ([p.reference for p in item[1].papers], item[1].layer, item[0]))
    rows = [
        Row(key, (*_answer_cells(one, question, asked.reader), counted[key])) for key, one in ordered
    ]  # fmt: skip
    return Answer(
        sentence=question.lead(scope, []) + _told(question, found.said),
        columns=(*_PAPER, _ANSWER, _SPECIMENS),
        rows=ListedRows(rows),
        notes=(*(str(note) for note in question.notes),
               _("Name a specimen, an accession or a paper to see the events.")),
        total=found.said.get(Said.NO, 0) + found.said.get(Said.UNKNOWN, 0),
    )  # fmt: skip


def _key(answer: TestAnswer | None) -> str:
    if answer is None:
        return "none"
    papers = "+".join(str(paper.pk) for paper in answer.papers)
    told = answer.code or ("yes-not-looked" if answer.hides_remark else "yes")
    return f"paper:{papers}:layer:{int(answer.layer)}:{told}"


def _answer_cells(answer: TestAnswer | None, question: EventQuestion, reader: Any) -> tuple[Cell, ...]:
    if answer is None:
        return ("", _("none"), str(question.no_limit))
    papers = answer.papers
    is_open = all(is_readable(paper, reader) for paper in papers) and all(opens(paper, reader) for paper in papers)
    words = question.answer_words(answer, is_open)
    named = link("paper", papers[0].pk, " + ".join(paper.reference for paper in papers))
    return (str(LAYER_NAMES[answer.layer]), named, words)


def _told(question: EventQuestion, said: Mapping[Said, int]) -> str:
    parts = [question.said_words(one, said[one]) for one in sorted(Said, reverse=True) if said.get(one)]
    return f" {_capital('; '.join(parts))}." if parts else ""


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
