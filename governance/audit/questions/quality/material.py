"""Numbers of individuals: more than a trap gives, and more taken from a lot than it held."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import SamplingEvent, Specimen
from governance.audit.asking import Column, ColumnKind
from governance.audit.queries.quality import kept_while_unchanged
from governance.audit.questions.addresses import link
from governance.audit.questions.quality.found import Fact, Found, FoundList
from governance.audit.questions.quality.rule import Cells, Rule
from governance.audit.questions.quality.telling import (
    EVENT_COLUMNS,
    ONE_OF_THEM,
    SPECIMENS,
    event_name,
    events_of,
    one_of,
    specimens_of,
    written_date,
)
from governance.verdicts.feed.rows import select, slices

TRAP_NORMS: Final[Mapping[str, int]] = {
    "hand": 300, "forceps": 300, "aspirator": 1_000, "beating": 1_000, "sweep": 2_000, "hook": 100, "angling": 100,
    "rod": 100, "mist net": 200, "live trap": 100, "snap trap": 100, "pitfall": 1_000, "pan trap": 2_000,
    "electrofishing": 2_000, "gill net": 2_000, "seine": 10_000, "kick": 5_000, "surber": 5_000, "malaise": 10_000,
    "light": 20_000,
}  # fmt: skip
"""Individuals a day above which a count is looked at, by a word of the method. Common practice, no source: set high, so
that slips of the pen stand out (a zero too many) and good days do not."""

_COUNTED: Final = """
SELECT event_id, SUM(count_low), COUNT(*), MIN(id) FROM material_specimen WHERE parent_id IS NULL
GROUP BY event_id HAVING SUM(count_low) > %s
"""


def _above(_on: date) -> Found:
    """Events of large counts, one walk over the specimens; their methods are read of those alone."""
    of, least = (Specimen, SamplingEvent), [min(TRAP_NORMS.values())]
    rows = kept_while_unchanged("counted", of, lambda: list(select(_COUNTED, least)))
    large = {event: row for event, *row in rows}
    facts = []
    for keys in slices(sorted(large)):
        for event in SamplingEvent.objects.filter(pk__in=keys).only("sampling_protocol", "earliest_on", "latest_on"):
            norm = _norm(event)
            if norm is not None and large[event.pk][0] > norm:
                facts.append((event.pk, *large[event.pk], norm))
    return FoundList(sorted(facts))


def _norm(event: SamplingEvent) -> int | None:
    """What the methods of an event give at most in its days; None where no norm is known for one of them."""
    words = event.sampling_protocol.casefold()
    known = [max((norm for name, norm in TRAP_NORMS.items() if name in method), default=None)
             for method in words.split("|") if method.strip()]  # fmt: skip
    first, last = event.earliest_on, event.latest_on
    if not known or first is None or last is None:
        return None
    total = 0
    for norm in known:
        if norm is None:
            return None
        total += norm * ((last - first).days + 1)
    return total


def _above_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    events, ones = events_of([fact[0] for fact in facts]), specimens_of([fact[3] for fact in facts])
    return [
        (event_name(events[event]), written_date(events[event]), events[event].sampling_protocol, total, norm, n,
         one_of(ones, one))
        for event, total, n, one, norm in facts
    ]  # fmt: skip


ABOVE: Final = Rule(
    "quality-count-above-norm", "event", gettext_lazy("Which counts are above what such a trap gives?"),
    gettext_lazy("Sampling events whose individuals, added up, are more than their methods give in so many days."),
    (*EVENT_COLUMNS, Column("methods", gettext_lazy("Methods")),
     Column("individuals", gettext_lazy("Individuals"), ColumnKind.NUMBER),
     Column("norm", gettext_lazy("Looked at above"), ColumnKind.NUMBER), SPECIMENS, ONE_OF_THEM),
    _above, _above_cells,
    lambda n: ngettext("The count of %(n)s sampling event is above what such a trap gives.",
                       "The counts of %(n)s sampling events are above what such traps give.", n) % {"n": intcomma(n)},
    gettext_lazy("Individuals a day by method, set high: hand net 300, sweep net 2,000, Malaise trap 10,000, light "
                 "trap 20,000 and others (common practice, no source)."),
    (gettext_lazy("Events of other methods, and of unknown or vague days beyond these numbers, are not judged."),),
)  # fmt: skip

_FEWER: Final = """
SELECT p.id, p.count_high, SUM(c.count_low), COUNT(*)
FROM material_specimen c JOIN material_specimen p ON p.id = c.parent_id
WHERE c.parent_id IS NOT NULL AND c.kind <> 'part' AND p.count_high IS NOT NULL
GROUP BY p.id, p.count_high HAVING SUM(c.count_low) > p.count_high
ORDER BY p.id
"""
"""The rule of ``accessions.material.oddities`` for all parents at once, by the index of parents."""


def _fewer(_on: date) -> Found:
    return FoundList(list(select(_FEWER)))


def _fewer_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    parents = specimens_of([fact[0] for fact in facts])
    return [
        (link("specimen", key, str(parents[key])), held, int(taken), n, int(taken) - held)
        for key, held, taken, n in facts
    ]  # fmt: skip


FEWER: Final = Rule(
    "quality-parent-fewer", "specimen", gettext_lazy("From which lots was more taken than they held?"),
    gettext_lazy("Specimens and lots whose fractions hold more individuals than they did themselves."),
    (Column("specimen", gettext_lazy("Taken from"), ColumnKind.CODE),
     Column("held", gettext_lazy("Held at most"), ColumnKind.NUMBER),
     Column("taken", gettext_lazy("Taken"), ColumnKind.NUMBER),
     Column("fractions", gettext_lazy("Fractions"), ColumnKind.NUMBER),
     Column("more", gettext_lazy("Too many"), ColumnKind.NUMBER)),
    _fewer, _fewer_cells,
    lambda n: ngettext("From %(n)s lot more was taken than it held.", "From %(n)s lots more was taken than they held.",
                       n) % {"n": intcomma(n)},
    gettext_lazy("A fraction is a part of the whole; a leg or an extract is no individual and is not counted."),
)  # fmt: skip

RULES: Final = (ABOVE, FEWER)
