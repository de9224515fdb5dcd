"""What is known of papers for the engine: days of taking, trips, publications and uses.

Only what the rules of a paper are counted from is looked up, so that a register whose papers ask for yearly reports
alone never walks through its material.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Final

from accessions.material.models import Accession, SamplingEvent
from governance.duties.queries.borne import Borne, Group, borne, used_groups
from governance.duties.queries.planned import planned_trips
from governance.duties.queries.rules_of_papers import Asked, Life
from governance.engine.duties import Happening, PaperFacts, Rule, Span, Trip, When
from governance.usedesk.models import MadeUse
from governance.usedesk.queries.by_keys import day_of_row, rows_by_keys

_TRIPS: Final = frozenset({When.AFTER_LAST_FIELD_DAY, When.BEFORE_ENTRY, When.BEFORE_LEAVING})
_OVER: Final = _TRIPS - {When.BEFORE_ENTRY}
_USES: Final = frozenset({When.AFTER_USE, When.AFTER_PUBLICATION})
_CALENDAR: Final = frozenset({When.EACH_YEAR, When.TWICE_A_YEAR, When.EACH_QUARTER})
_EVENTS: Final = "SELECT id, reading, latest_on, earliest_on FROM material_samplingevent WHERE id {keys}"
_LABEL_LENGTH: Final = 200


def facts_of_papers(asked: Iterable[Asked], papers: Mapping[int, Life]) -> dict[int, PaperFacts]:
    """The facts of the papers that ask for something, by key."""
    rules: dict[int, list[Rule]] = defaultdict(list)
    for one in asked:
        if one.paper is not None:
            rules[one.paper].extend(one.rules)
    taking = {paper for paper, of in rules.items() if any(_needs_taking(rule, papers[paper]) for rule in of)}
    trips = _papers_with(rules, _TRIPS)
    over, uses = _papers_with(rules, _OVER), _papers_with(rules, _USES)
    material = borne() if taking | over | uses else Borne({})
    groups = material.groups_of(taking | over)
    days = _event_days(group.event for of in groups.values() for group in of)
    planned = planned_trips(trips) if trips else {}
    real = _real_trips({paper: groups[paper] for paper in over}, days)
    used = _uses(uses, material) if uses else {}
    return {
        paper: _facts(
            papers[paper], _taking(groups[paper], days) if paper in taking else (),
            _trips(real.get(paper, {}), planned.get(paper, {})), used.get(paper, []),
        )
        for paper in rules
    }  # fmt: skip


def _needs_taking(rule: Rule, life: Life) -> bool:
    if rule.when == When.AFTER_COLLECTION:
        return True
    is_undated = life.stands.first is None and life.paper.issued_on is None
    return rule.when in _CALENDAR and (is_undated or not rule.if_nothing)


def _papers_with(rules: Mapping[int, list[Rule]], whens: frozenset[When]) -> set[int]:
    return {paper for paper, of in rules.items() if any(rule.when in whens for rule in of)}


def _facts(
    life: Life, taking: tuple[Happening, ...], trips: tuple[Trip, ...], used: list[tuple[Happening, bool]]
) -> PaperFacts:
    return PaperFacts(
        issued=life.paper.issued_on, stands=Span(life.stands.first, life.stands.last), taking=taking,
        taking_unknown=any(one.day is None for one in taking), trips=trips,
        publications=tuple(one for one, is_publication in used if is_publication),
        uses=tuple(one for one, _is_publication in used),
    )  # fmt: skip


# Days -----------------------------------------------------------------------------------------------------------------

_Days = Mapping[int, tuple[date, date] | None]
"""Of each event its first and last day; None where they are not known to the day."""


def _event_days(events: Iterable[int]) -> _Days:
    """A date such as "June 1998" is not known to the day: a duty that was counted from the end of June would fall due
    too late."""
    keys = set(events)
    found: dict[int, tuple[date, date] | None] = {}
    for event, reading, latest, earliest in rows_by_keys(_EVENTS, keys) if keys else ():
        first, last = day_of_row(earliest), day_of_row(latest)
        found[event] = (first, last) if reading == SamplingEvent.Reading.RUN and first and last else None
    return found


def _taking(groups: Iterable[Group], days: _Days) -> tuple[Happening, ...]:
    """Each day on which a taking ended, once; and one for all of which the day is not known."""
    ends = {days[group.event] for group in groups}
    lasts = sorted({found[1] for found in ends if found})
    known = [Happening(day.isoformat(), day.isoformat(), day) for day in lasts]
    return (*known, Happening("not-known", "", None)) if None in ends else tuple(known)


def _real_trips(groups: Mapping[int, Iterable[Group]], days: _Days) -> dict[int, dict[int, Trip]]:
    """By paper and accession its days in the field, as far as they are known."""
    found: dict[int, dict[int, list[tuple[date, date]]]] = {}
    for paper, of in groups.items():
        own: dict[int, list[tuple[date, date]]] = defaultdict(list)
        for group in of:
            known = days[group.event]
            own[group.accession] += [known] if known else []
        found[paper] = own
    accessions = {accession for own in found.values() for accession in own}
    rows = Accession.objects.filter(pk__in=accessions) if accessions else Accession.objects.none()
    named = {pk: (number, plan) for pk, number, plan in rows.values_list("pk", "number", "field_plan__pk")}
    return {
        paper: {accession: _real_trip(accession, *named[accession], known) for accession, known in own.items()}
        for paper, own in found.items()
    }


def _real_trip(accession: int, number: str, plan: int | None, known: list[tuple[date, date]]) -> Trip:
    """An accession that was planned here goes on under the key of its plan, so that what was entered for it stays."""
    firsts, lasts = [first for first, _last in known], [last for _first, last in known]
    key = f"accession-{accession}" if plan is None else f"plan-{plan}"
    return Trip(key, number, min(firsts, default=None), max(lasts, default=None))


def _trips(real: Mapping[int, Trip], planned: Mapping[str, Trip]) -> tuple[Trip, ...]:
    """What was taken counts before what was planned."""
    return tuple((dict(planned) | {trip.key: trip for trip in real.values()}).values())


# Uses -----------------------------------------------------------------------------------------------------------------


def _uses(papers: set[int], material: Borne) -> dict[int, list[tuple[Happening, bool]]]:
    """By paper the uses of what it bears on, and whether each is a publication."""
    bearing: dict[int, set[int]] = defaultdict(set)
    for use, group in used_groups():
        bearing[use] |= material.papers.get(group, frozenset()) & papers
    found: dict[int, list[tuple[Happening, bool]]] = defaultdict(list)
    columns = ("pk", "deed", "on", "until_on", "reference", "title", "citation", "doi")
    rows = MadeUse.objects.filter(voided_at__isnull=True).order_by("pk").values_list(*columns)
    for pk, deed, on, until_on, *names in rows if any(bearing.values()) else ():
        if bearing.get(pk):
            label = next((name for name in names if name), "")[:_LABEL_LENGTH]
            one = Happening(f"use-{pk}", label, until_on or on, deed), deed == MadeUse.Deed.PUBLICATION
            for paper in bearing[pk]:
                found[paper].append(one)
    return found
