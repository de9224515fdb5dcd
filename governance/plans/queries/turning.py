"""What a plan becomes when it turns into an accession: shown before it is made, and made from the same."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from string import ascii_uppercase
from typing import Any, Final

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from accessions.material.models import Accession
from accessions.material.reading import EVENT_TERMS
from accessions.people.access import Verb, may
from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES
from governance.plans.models import Consignment, FieldPlan, PlanDecision, PlanPaper, Stop
from governance.plans.planned_rows import PlannedRow
from governance.plans.queries.loading import load_plan, rows_of
from governance.verdicts.shown_days import span

PLANNED_MARK: Final = "(planned)"
"""Ends the number of an event that was made from a plan: it says what was meant, and a label never bears it."""

MOST_OFFERED: Final = 100
"""Accessions that the page offers to choose from; any other is typed."""


@dataclass(frozen=True)
class PlannedEvent:
    """A sampling event as it will be written. cells: text by Darwin Core term."""

    stop: int
    site: int | None
    method: str
    first_on: date | None
    last_on: date | None
    cells: tuple[tuple[str, str], ...]

    @property
    def number(self) -> str:
        return dict(self.cells)["eventID"]

    @property
    def days(self) -> str:
        """As tables show days; "" while one is not fixed."""
        return span(self.first_on, self.last_on) if self.first_on and self.last_on else ""


@dataclass(frozen=True)
class TurningStop:
    """A stop that was visited, as a part. papers, decisions: those that are for this stop alone."""

    stop: Stop
    letter: str
    events: tuple[PlannedEvent, ...]
    papers: tuple[PlanPaper, ...]
    decisions: tuple[PlanDecision, ...]


@dataclass(frozen=True)
class Turning:
    """All that is made of a plan. papers, decisions: those of the whole plan.

    homes: the ways home of the stops that were visited. not_visited: left out, with what was for them alone.
    """

    plan: FieldPlan
    stops: tuple[TurningStop, ...]
    not_visited: tuple[TurningStop, ...]
    papers: tuple[PlanPaper, ...]
    decisions: tuple[PlanDecision, ...]
    homes: tuple[Consignment, ...]

    @property
    def events(self) -> tuple[PlannedEvent, ...]:
        return tuple(event for one in self.stops for event in one.events)

    @property
    def all_papers(self) -> tuple[PlanPaper, ...]:
        return (*self.papers, *(paper for one in self.stops for paper in one.papers))

    @property
    def all_decisions(self) -> tuple[PlanDecision, ...]:
        return (*self.decisions, *(decision for one in self.stops for decision in one.decisions))

    def left_behind(self, by: Any) -> list[str]:
        """What is not carried over, in words: decisions that this person may not make, and what was for stops left out.

        No query.
        """
        undecided = () if may(by, Verb.DECIDE) else self.all_decisions
        words = [
            _("%(decision)s: a decision is carried only by somebody who may decide.")
            % {"decision": decision_words(row)}
            for row in undecided
        ]
        for one in self.not_visited:
            words += [
                _("%(paper)s: it was linked to %(stop)s alone.") % {"paper": row.paper.reference, "stop": one.stop}
                for row in one.papers
            ]
            words += [
                _("%(decision)s: the stop is left out.") % {"decision": decision_words(row)} for row in one.decisions
            ]
        return words


def decision_words(decision: PlanDecision) -> str:
    """A decision in a line: "Land needs no paper (Upper bridge)"."""
    words = _("%(layer)s needs no paper") % {"layer": LAYER_NAMES[Layer(decision.layer)]}
    return f"{words} ({decision.stop})" if decision.stop_id else words


def turning(plan: FieldPlan, take_stops: Collection[int] | None = None) -> Turning:
    """What the plan becomes. take_stops: keys of the stops that were visited; None: all. Eight queries."""
    loaded = load_plan(plan)
    events = _events(plan, [one.stop for one in loaded.stops], rows_of([loaded]))
    papers, decisions = _papers(plan), _decisions(plan)
    taken = [one for one in loaded.stops if take_stops is None or one.stop.pk in take_stops]
    letters = {one.stop.pk: letter for one, letter in zip(taken, part_letters(), strict=False)}
    stops = [
        TurningStop(
            one.stop, letters.get(one.stop.pk, ""), tuple(events[one.stop.pk]), tuple(papers[one.stop.pk]),
            tuple(decisions[one.stop.pk]),
        )
        for one in loaded.stops
    ]  # fmt: skip
    used = {one.home.pk for one in taken if one.home}
    return Turning(
        plan,
        tuple(one for one in stops if one.letter),
        tuple(one for one in stops if not one.letter),
        tuple(papers[None]),
        tuple(decisions[None]),
        tuple(home for home in loaded.homes if home.pk in used),
    )


def part_letters() -> Iterator[str]:
    """A, B, .. Z, AA, AB, ..: without end."""
    number = 0
    while True:
        yield _letters(number)
        number += 1


def _letters(number: int) -> str:
    first, last = divmod(number, len(ascii_uppercase))
    return (_letters(first - 1) if first else "") + ascii_uppercase[last]


def _events(plan: FieldPlan, stops: Iterable[Stop], rows: Iterable[PlannedRow]) -> dict[int, list[PlannedEvent]]:
    """By stop one event for each way of taking; traps are events of their own."""
    ways: dict[int, dict[tuple[str, int | None], PlannedRow]] = defaultdict(dict)
    for row in rows:
        ways[row.stop].setdefault((row.method, row.trap), row)
    found: dict[int, list[PlannedEvent]] = defaultdict(list)
    for place, stop in enumerate(stops, start=1):
        of_stop = ways[stop.pk].values()
        for way, row in enumerate(of_stop, start=1):
            number = f"{plan.reference}/{place}" + (f".{way}" if len(of_stop) > 1 else "")
            found[stop.pk].append(
                PlannedEvent(stop.pk, stop.site_id, row.method, row.first_on, row.last_on, _cells(row, number))
            )
    return found


def _cells(row: PlannedRow, number: str) -> tuple[tuple[str, str], ...]:
    written = row.cells() | {"eventID": f"{number} {PLANNED_MARK}"}
    return tuple((term, written[term]) for term in EVENT_TERMS if written.get(term))


def _papers(plan: FieldPlan) -> dict[int | None, list[PlanPaper]]:
    rows = PlanPaper.objects.filter(plan=plan, unlinked_at__isnull=True).select_related("paper", "stop")
    found: dict[int | None, list[PlanPaper]] = defaultdict(list)
    for row in rows.order_by("pk"):
        found[row.stop_id].append(row)
    return found


def _decisions(plan: FieldPlan) -> dict[int | None, list[PlanDecision]]:
    rows = PlanDecision.objects.filter(plan=plan, withdrawn_at__isnull=True).select_related("stop", "decided_by")
    found: dict[int | None, list[PlanDecision]] = defaultdict(list)
    for row in rows.order_by("layer", "pk"):
        found[row.stop_id].append(row)
    return found


def accessions_without_plan() -> QuerySet[Accession]:
    """Accessions that no plan became: a plan that was followed may be held against one of them."""
    return Accession.objects.filter(field_plan__isnull=True).order_by("-received_on", "number")


_NUMBERED: Final = re.compile(r"(?P<before>\D*)(?P<year>(?:19|20)\d\d)(?P<between>\D+)(?P<number>\d+)")


def next_accession_number(year: int) -> str:
    """The number after the highest of a year, in the form of the newest; "" where that is no prefix, year and number.

    The house has no rule for numbers; the ones that it gave show the form. Two queries.
    """
    newest = Accession.objects.order_by("-pk").values_list("number", flat=True).first()
    form = _NUMBERED.fullmatch(newest or "")
    if form is None:
        return ""
    start = f"{form['before']}{year}{form['between']}"
    known = Accession.objects.filter(number__startswith=start).values_list("number", flat=True)
    taken = [int(rest) for number in known if (rest := number.removeprefix(start)).isascii() and rest.isdigit()]
    return f"{start}{max(taken, default=0) + 1:0{len(form['number'])}d}"
