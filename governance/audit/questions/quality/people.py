"""Agents that look like the same person, and people who seem to have collected for longer than a life allows."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import combinations
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.people.models import Agent, AgentName
from accessions.people.name_keys import fold_name
from accessions.values import split_people
from governance.audit.asking import Column, ColumnKind
from governance.audit.questions.addresses import agent_link
from governance.audit.questions.quality.found import Fact, Found, FoundList
from governance.audit.questions.quality.rule import Cells, Rule
from governance.audit.questions.quality.telling import EASE
from governance.engine.answers import NO
from governance.engine.people import NamedPeople, read_person
from governance.engine.tables import Assistants
from governance.usedesk.queries.by_keys import day_of_row
from governance.verdicts.feed.rows import select

LONGEST_CAREER_YEARS: Final = 75
"""Between the first and the last day under one name. Common practice, no source."""

_SPANS: Final = """
SELECT recorded_by, MIN(earliest_on), MAX(latest_on), COUNT(*) FROM material_samplingevent
WHERE recorded_by <> '' AND earliest_on IS NOT NULL AND latest_on IS NOT NULL GROUP BY recorded_by
"""


def _careers(_on: date) -> Found:
    """By what records write of people: one walk over the events."""
    spans: dict[str, tuple[str, date, date, int]] = {}
    for people, first, last, n in select(_SPANS):
        for name in split_people(people):
            key, days = fold_name(name), (day_of_row(first), day_of_row(last))
            if key and days[0] and days[1]:
                shown, start, end, count = spans.get(key, (name, days[0], days[1], 0))
                spans[key] = (min(shown, name), min(start, days[0]), max(end, days[1]), count + n)
    long = [(key, *span) for key, span in spans.items() if span[2].year - span[1].year > LONGEST_CAREER_YEARS]
    return FoundList(sorted(long))


def _career_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    return [(name, first, last, last.year - first.year, n) for _key, name, first, last, n in facts]


CAREER: Final = Rule(
    "quality-collector-years", "collector", gettext_lazy("Who seems to have collected for longer than a life allows?"),
    gettext_lazy("Names of collectors under which more than 75 years lie between the first and the last day."),
    (Column("name", gettext_lazy("Name")), Column("first", gettext_lazy("First day"), ColumnKind.DAY),
     Column("last", gettext_lazy("Last day"), ColumnKind.DAY),
     Column("years", gettext_lazy("Years between"), ColumnKind.NUMBER),
     Column("events", gettext_lazy("Sampling events"), ColumnKind.NUMBER)),
    _careers, _career_cells,
    lambda n: ngettext("%(n)s collector’s days lie more than 75 years apart.",
                       "The days of %(n)s collectors lie more than 75 years apart.", n) % {"n": intcomma(n)},
    EASE, (gettext_lazy("Years of birth and death are not kept: whether a collector was alive is not asked. Two people "
                        "of one name, or a slip of a century, are the usual reasons."),),
)  # fmt: skip


def _alike(_on: date) -> Found:
    return FoundList(sorted(set(_pairs())))


def _pairs() -> Iterator[tuple[str, int, int, str]]:
    agents = {agent.pk: agent for agent in Agent.objects.all()}
    of_key: dict[str, set[int]] = defaultdict(set)
    of_family: dict[str, set[int]] = defaultdict(set)
    for of, key in AgentName.objects.order_by().values_list("agent", "key"):
        of_key[key].add(of)
    for agent in agents.values():
        of_key[fold_name(agent.name)].add(agent.pk)
        if agent.kind == Agent.Kind.PERSON:
            read = read_person(agent.name)
            for family in {read.family, read.reversed_family} - {""}:
                of_family[family].add(agent.pk)
    seen = set()
    for keys in of_key.values():
        for pair in combinations(sorted(keys), 2):
            seen.add(pair)
            yield (f"{pair[0]}-{pair[1]}", *pair, "same")
    for keys in of_family.values():
        for pair in combinations(sorted(keys), 2):
            if pair not in seen and _may_be(agents[pair[0]].name, agents[pair[1]].name):
                yield (f"{pair[0]}-{pair[1]}", *pair, "maybe")


def _may_be(one: str, other: str) -> bool:
    """As people of records are held against people of papers (the contract of verdicts, section 6)."""
    return NamedPeople((read_person(one),), Assistants.NOT_ALLOWED).standing(other) != NO


def _alike_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    agents = Agent.objects.in_bulk({key for fact in facts for key in fact[1:3]})
    words = {"same": _("one form of a name is the same"), "maybe": _("same family name, initials that fit")}
    return [
        (agent_link(agents[one]), agent_link(agents[other]), str(agents[one].get_kind_display()),
         str(agents[other].get_kind_display()), words[why])
        for _key, one, other, why in facts
    ]  # fmt: skip


ALIKE: Final = Rule(
    "quality-same-people", "agents", gettext_lazy("Which people and organisations look like the same, entered twice?"),
    gettext_lazy("Pairs that share a form of their name, and people of one family name whose initials fit."),
    (Column("one", gettext_lazy("One")), Column("other", gettext_lazy("The other")),
     Column("kind", gettext_lazy("Kind of one")), Column("other_kind", gettext_lazy("Kind of the other")),
     Column("why", gettext_lazy("Why"))),
    _alike, _alike_cells,
    lambda n: ngettext("%(n)s pair looks like one entered twice.", "%(n)s pairs look like one entered twice.", n)
    % {"n": intcomma(n)},
    gettext_lazy("Names as the contract of verdicts compares them, section 6."),
)  # fmt: skip

RULES: Final = (CAREER, ALIKE)
