"""The duties that follow from the rules, the papers and the promises as they stand."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.utils.translation import gettext_noop

from governance.duties.models import BenefitPromise, Duty, DutyKind
from governance.duties.queries.benefits import PromiseLine, PromiseState, promise_lines
from governance.duties.queries.facts import facts_of_papers
from governance.duties.queries.marks import last_known_day
from governance.duties.queries.rules_of_papers import (
    Asked,
    asked_by_conditions,
    asked_by_rules,
    ended_sources,
    lives,
)
from governance.engine.duties import Because, Occurrence, PaperFacts, When, occurrences
from governance.plans.models import FieldPlan

_LABEL_LENGTH: Final = 300


@dataclass(frozen=True)
class Recorded:
    """Another record says that a duty was done: when, and where that stands."""

    on: date
    how: str


@dataclass(frozen=True)
class Expected:
    """One duty that follows. values: the columns of ``Duty`` that the rule and the facts decide."""

    source: str
    occurrence: str
    values: Mapping[str, Any]
    assignee: int | None = None
    done: Recorded | None = None

    @property
    def key(self) -> tuple[str, str]:
        return self.source, self.occurrence


@dataclass(frozen=True)
class AllExpected:
    """duties: by source and occurrence. sources: all that asks for something. left_alone: sources of which no new
    duty follows, while what followed before stays. before: what follows too, but was due before duties are followed."""

    duties: Mapping[tuple[str, str], Expected]
    sources: frozenset[str]
    left_alone: Collection[str]
    before: Collection[tuple[str, str]] = ()


def all_expected(*, since: date, today: date, of: Duty | None = None) -> AllExpected:
    """All duties that follow, those with a day that is known from ``since`` on; of the calendar until the end of next
    year. of: only those of the source of this duty."""
    papers = lives(today) if of is None else lives(today, [of.paper_id])
    asked = [*asked_by_conditions(papers), *asked_by_rules(papers)]
    asked = [one for one in asked if of is None or one.source == of.source]
    facts = facts_of_papers(asked, papers)
    plans = dict(FieldPlan.objects.values_list("pk", "reference"))
    span = (since, last_known_day(today))
    found = [
        _expected(one, occurrence, plans)
        for one in asked
        for occurrence in occurrences_of(one, facts.get(one.paper or 0, PaperFacts()), *span)
    ]
    found += [_promised(line) for line in _promise_lines(today, of)]
    sources = {one.source for one in asked} | {one.source for one in found}
    followed = {one.key: one for one in found if not is_before(one.values["due_on"], since)}
    before = {one.key for one in found} - followed.keys()
    return AllExpected(followed, frozenset(sources), ended_sources(), before)


def is_before(due: date | None, since: date) -> bool:
    """Whether it was due before duties are followed. A day that is not known may be any."""
    return due is not None and due < since


def occurrences_of(asked: Asked, facts: PaperFacts, since: date, until: date) -> list[Occurrence]:
    """What follows from one duty that is asked for, each once: by its key, the first day of it. since, until: of the
    calendar; what is counted from a day follows whatever its day."""
    found: dict[str, Occurrence] = {}
    for occurrence in _all_of(asked, facts, since, until):
        found.setdefault(occurrence.key, occurrence)
    return list(found.values())


def _all_of(asked: Asked, facts: PaperFacts, since: date, until: date) -> Iterator[Occurrence]:
    for rule in asked.rules:
        for occurrence in occurrences(rule, facts, since=since, until=until):
            if not asked.is_superseded(occurrence):
                yield occurrence


def _expected(asked: Asked, one: Occurrence, plans: Mapping[int, str]) -> Expected:
    kind, _dash, key = one.of.partition("-")
    of = {kind: int(key)} if key.isdigit() and kind in ("accession", "use", "plan") else {}
    values = {
        "rule_id": asked.rule, "promise_id": None, "paper_id": asked.paper, "kind": str(asked.kind),
        "what": asked.what, "to_whom": asked.to_whom, "label": one.label[:_LABEL_LENGTH],
        "accession_id": of.get("accession"), "use_id": of.get("use"), "plan_id": of.get("plan"), "due_on": one.due,
        "counted_from": one.counted_from, "about_from": one.about.first if one.about else None,
        "about_to": one.about.last if one.about else None, "because": as_json(one.because),
    }  # fmt: skip
    return Expected(asked.source, one.key, values, asked.assignee, _told(asked, one, plans.get(of.get("plan", 0), "")))


def as_json(because: Because) -> dict[str, Any]:
    """As ``Duty.because`` holds it."""
    return {"code": because.code, "values": dict(because.values)}


def _told(asked: Asked, one: Occurrence, plan: str) -> Recorded | None:
    """A notice that is recorded with a plan. It says nothing of anything else that is due before entry."""
    if one.told_on is None or asked.kind != DutyKind.NOTICE:
        return None
    return Recorded(one.told_on, gettext_noop("as recorded in plan %(plan)s") % {"plan": plan})


# Promises -------------------------------------------------------------------------------------------------------------


def _promise_lines(today: date, of: Duty | None) -> Iterable[PromiseLine]:
    """Promises with a day that nobody closed."""
    rows = BenefitPromise.objects.filter(due_on__isnull=False, closed_at__isnull=True)
    if of is not None:
        rows = rows.filter(pk=of.promise_id or 0)
    found = list(rows)
    return promise_lines(found, today) if found else ()


def _promised(line: PromiseLine) -> Expected:
    promise = line.promise
    because = Because(When.ON_A_DAY.value, {"day": promise.due_on.isoformat()})
    values = {
        "rule_id": None, "promise_id": promise.pk, "paper_id": promise.paper_id, "kind": str(DutyKind.BENEFIT),
        "what": promise.what, "to_whom": promise.beneficiary, "label": "", "accession_id": None, "use_id": None,
        "plan_id": None, "due_on": promise.due_on, "counted_from": promise.due_on, "about_from": None,
        "about_to": None, "because": as_json(because),
    }  # fmt: skip
    return Expected(f"promise-{promise.pk}", "due", values, done=_met(line))


def _met(line: PromiseLine) -> Recorded | None:
    """Given what was promised, as far as it can be counted; without its receipts nothing proves that, and the duty
    stays to be done."""
    if line.state != PromiseState.MET or line.lacks_receipt or line.met_on is None:
        return None
    return Recorded(line.met_on, gettext_noop("as recorded with the promise: what was promised was given"))
