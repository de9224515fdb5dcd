"""Days of collecting that cannot be, or are seldom right."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import F
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import SamplingEvent
from accessions.material.oddities import LONGEST_TRAP_RUN
from accessions.values import read_date
from governance.audit.asking import Column, ColumnKind
from governance.audit.questions.quality.found import Fact, Found, FoundList, FoundQuery
from governance.audit.questions.quality.rule import Cells, Rule
from governance.audit.questions.quality.telling import EASE, EVENT_COLUMNS, TAIL, ShownEvent, event_name, shown_events
from governance.verdicts.feed.rows import select

_Reading = SamplingEvent.Reading


def _long_runs(_on: date) -> Found:
    runs = SamplingEvent.objects.filter(reading=_Reading.RUN, latest_on__gt=F("earliest_on"))
    return FoundQuery(runs.filter(latest_on__gt=F("earliest_on") + LONGEST_TRAP_RUN).order_by("-earliest_on", "pk"))


def _long_run_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    events = shown_events([key for (key,) in facts])
    return [_long_run(events[key]) for (key,) in facts]


def _long_run(shown: ShownEvent) -> Cells:
    first, last = shown.event.earliest_on, shown.event.latest_on
    days = (last - first).days + 1 if first and last else None
    return (*shown.head, first, last, days, shown.event.sampling_protocol, *shown.tail)


TRAP_RUN: Final = Rule(
    "quality-trap-run", "event", gettext_lazy("Which traps ran for longer than six weeks?"),
    gettext_lazy("Sampling events whose two days are known and lie more than six weeks apart."),
    (*EVENT_COLUMNS, Column("first", gettext_lazy("First day"), ColumnKind.DAY),
     Column("last", gettext_lazy("Last day"), ColumnKind.DAY),
     Column("days", gettext_lazy("Days"), ColumnKind.NUMBER), Column("methods", gettext_lazy("Methods")), *TAIL),
    _long_runs, _long_run_cells,
    lambda n: ngettext("%(n)s trap ran for longer than six weeks.", "%(n)s traps ran for longer than six weeks.", n)
    % {"n": intcomma(n)},
    EASE, (gettext_lazy("Runs over six weeks happen, in winter above all: look, and note those that are right."),),
)  # fmt: skip


def _unreadable(_on: date) -> Found:
    found = SamplingEvent.objects.filter(reading__in=(_Reading.UNREADABLE, _Reading.CONFLICT))
    return FoundQuery(found.order_by("pk"))


def _unreadable_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    events = shown_events([key for (key,) in facts])
    return [_unreadable_row(events[key]) for (key,) in facts]


def _unreadable_row(shown: ShownEvent) -> Cells:
    event = shown.event
    read = read_date(event.event_date, event.verbatim_event_date, event.year, event.month, event.day)
    parts = "-".join(part for part in (event.year, event.month, event.day) if part)
    return event_name(event), event.event_date, event.verbatim_event_date, parts, read.hint, *shown.tail


UNREADABLE: Final = Rule(
    "quality-date-unreadable", "event",
    gettext_lazy("Which collecting dates end before they start, contradict themselves, or cannot be read?"),
    gettext_lazy("Dates that are no day of the calendar, intervals that run backwards, years of two figures, and dates "
                 "that do not agree with the other columns of the same record."),
    (EVENT_COLUMNS[0], Column("written", gettext_lazy("Date")), Column("label", gettext_lazy("Date on the label")),
     Column("parts", gettext_lazy("Year, month, day")), Column("hint", gettext_lazy("What is wrong")), *TAIL),
    _unreadable, _unreadable_cells,
    lambda n: ngettext("The date of %(n)s sampling event cannot be, or contradicts itself.",
                       "The dates of %(n)s sampling events cannot be, or contradict themselves.", n)
    % {"n": intcomma(n)},
    gettext_lazy("ISO 8601-1 and EDTF; what is read and what is not stands in the contract of verdicts, section 3."),
    (gettext_lazy("Periods of papers, sites, owners and rules that end before they start are refused where they are "
                  "entered. Depths are not kept as columns here."),),
)  # fmt: skip


_AHEAD: Final = """
SELECT e.id, 0 FROM material_samplingevent e WHERE e.earliest_on > %s
"""
_HUNDRED_YEARS: Final = """
SELECT DISTINCT e.id, 100
FROM material_samplingevent e
JOIN material_specimen s ON s.event_id = e.id
JOIN material_accession a ON a.id = s.accession_id
WHERE e.earliest_on < %s AND a.kind = 'field' AND a.received_on IS NOT NULL
  AND CAST(SUBSTR(CAST(a.received_on AS TEXT), 1, 4) AS INTEGER)
    - CAST(SUBSTR(CAST(e.earliest_on AS TEXT), 1, 4) AS INTEGER) BETWEEN 99 AND 101
"""


def _slips(on: date) -> Found:
    """Days ahead, and field collecting that was received a hundred years after it. Both by the index of days."""
    ahead = list(select(_AHEAD, [on]))
    old = [row for row in select(_HUNDRED_YEARS, [date(on.year - 98, 1, 1)]) if row[0] not in dict(ahead)]
    return FoundList(sorted([*ahead, *old]))


def _slip_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    events = shown_events([key for key, _years in facts])
    words = {0: _("lies ahead"), 100: _("a hundred years before its accession was received")}
    return [
        (*events[key].head, events[key].event.earliest_on, words[years], *events[key].tail) for key, years in facts
    ]  # fmt: skip


CENTURY: Final = Rule(
    "quality-century", "event", gettext_lazy("Which collecting years look like a slip, 19.. for 20.., or lie ahead?"),
    gettext_lazy("Events after the day that is asked about, and events of field collecting that was received 99 to 101 "
                 "years later."),
    (*EVENT_COLUMNS, Column("first", gettext_lazy("First day"), ColumnKind.DAY),
     Column("what", gettext_lazy("What is odd")), *TAIL),
    _slips, _slip_cells,
    lambda n: ngettext("%(n)s collecting year looks like a slip.", "%(n)s collecting years look like slips.", n)
    % {"n": intcomma(n)},
    EASE, (gettext_lazy("Years that are written with two figures are not read at all: they stand with the dates that "
                        "cannot be read."),),
)  # fmt: skip

RULES: Final = (TRAP_RUN, UNREADABLE, CENTURY)
