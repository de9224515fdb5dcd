"""Rules for their pages: those that people entered, those that stand with conditions, conditions without a rule."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

from django.db.models import Count, Exists, F, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.changes import Change, changes_of
from governance.duties.models import Duty, DutyHouse, DutyRule, DutyRun
from governance.duties.queries.expected import as_json, is_before, occurrences_of
from governance.duties.queries.facts import facts_of_papers
from governance.duties.queries.marks import last_known_day
from governance.duties.queries.rules_of_papers import Asked, Life, asked_by, asked_by_conditions, life_of, lives
from governance.duties.words import about_words, because_words
from governance.engine.duties import Occurrence, PaperFacts
from governance.papers.models import Condition, Paper, PaperStatus, PaperVersion
from governance.papers.restriction import opens, readable, restricted_words

SORTS: Final = {"paper": "paper__reference", "kind": "kind", "when": "when", "open": "open_count"}
SHOWS: Final = ("entered", "conditions", "without")
"""Rules that were entered; rules that stand with conditions; conditions without a rule."""


@dataclass(frozen=True)
class WantedRules:
    """What the list of rules is narrowed to; "" narrows nothing. state: "holds" or "ended"."""

    q: str = ""
    kind: str = ""
    when: str = ""
    state: str = ""
    paper: str = ""
    sort: str = "paper"
    show: str = SHOWS[0]


@dataclass(frozen=True)
class RuleLine:
    """A rule in the list. hidden: stands in place of its words where the paper is closed to the reader."""

    rule: DutyRule
    hidden: str = ""


def rules(wanted: WantedRules, reader: Any) -> QuerySet[DutyRule]:
    """Rules that were entered, with ``open_count``: duties that follow and are to be done. One query.

    Words are looked for only in rules whose paper is open to the reader.
    """
    to_do = Q(duties__done_on=None, duties__waived_on=None, duties__dropped_on=None, duties__isnull=False)
    rows = DutyRule.objects.select_related("paper", "assignee").annotate(open_count=Count("duties", filter=to_do))
    for word in wanted.q.split():
        in_words = Q(what__icontains=word) | Q(to_whom__icontains=word) | Q(clause__icontains=word)
        is_open = Q(paper=None) | Q(paper__in=readable(Paper.objects.all(), reader).values("pk"))
        rows = rows.filter(Q(paper__reference__icontains=word) | (in_words & is_open))
    exact = {name: value for name in ("kind", "when", "paper") if (value := getattr(wanted, name))}
    rows = rows.filter(**exact)
    if wanted.state:
        rows = rows.filter(ended_at__isnull=wanted.state == "holds")
    column = F(SORTS.get(wanted.sort.removeprefix("-"), SORTS["paper"]))
    order = column.desc(nulls_last=True) if wanted.sort.startswith("-") else column.asc(nulls_first=True)
    return rows.order_by(order, "paper__reference", "pk")


def rule_lines(found: Sequence[DutyRule], reader: Any) -> list[RuleLine]:
    """With the line in place of what is closed to the reader."""
    return [RuleLine(rule, hidden_words(rule.paper, reader)) for rule in found]


def hidden_words(paper: Paper | None, reader: Any) -> str:
    """The line in place of what a paper says; "" where it is open to the reader."""
    return "" if paper is None or opens(paper, reader) else restricted_words(paper.restricted_to)


@dataclass(frozen=True)
class DatedLine:
    """What a condition asks for by itself: a yearly report or a notice."""

    asked: Asked
    paper: Paper
    hidden: str = ""


def dated_conditions(wanted: WantedRules, reader: Any, today: date) -> list[DatedLine]:
    """Rules that stand with the conditions of papers, by paper. Four queries."""
    papers = lives(today)
    found = [
        DatedLine(one, papers[one.paper].paper, hidden_words(papers[one.paper].paper, reader))
        for one in asked_by_conditions(papers)
        if one.paper is not None
    ]
    lines = [one for one in found if _is_wanted(one, wanted)]
    return sorted(lines, key=lambda one: (one.paper.reference, one.asked.source), reverse=wanted.sort == "-paper")


def _is_wanted(line: DatedLine, wanted: WantedRules) -> bool:
    if (wanted.kind and wanted.kind != line.asked.kind) or (wanted.paper and wanted.paper != str(line.paper.pk)):
        return False
    said = "" if line.hidden else f"{line.asked.what} {line.asked.to_whom}"
    text = f"{line.paper.reference} {said}".casefold()
    return all(word.casefold() in text for word in wanted.q.split())


def without_rule(wanted: WantedRules, reader: Any) -> QuerySet[Condition]:
    """Conditions of the newest version of each paper that say no day, and whose words no rule of the paper quotes:
    those that the reader may read. Two queries."""
    newest = PaperVersion.objects.filter(paper=OuterRef("version__paper")).order_by(
        F("in_force_from").desc(nulls_last=True)
    )
    quoted = DutyRule.objects.filter(paper=OuterRef("version__paper"), clause=OuterRef("text"))
    rows = Condition.objects.filter(version=Subquery(newest.values("pk")[:1]), report_by="", notice_days__isnull=True)
    rows = readable(rows.filter(~Exists(quoted)), reader, "version__paper__").exclude(version__paper__in=_never_given())
    for word in wanted.q.split():
        rows = rows.filter(Q(text__icontains=word) | Q(version__paper__reference__icontains=word))
    if wanted.paper:
        rows = rows.filter(version__paper=int(wanted.paper))
    paper = F("version__paper__reference")
    order = paper.desc() if wanted.sort == "-paper" else paper.asc()
    return rows.select_related("version__paper").order_by(order, "position", "pk")


def _never_given() -> list[int]:
    """Papers that were applied for or refused, and never held: one query, and two for their states and versions."""
    states = [PaperStatus.State.APPLIED, PaperStatus.State.REFUSED]
    rows = Paper.objects.filter(statuses__state__in=states).distinct().prefetch_related("statuses", "versions")
    today = timezone.localdate()
    return [paper.pk for paper in rows if life_of(paper, today) is None]


@dataclass(frozen=True)
class RuleCounts:
    """For the sentence above the list: rules that hold and that ended, and those that stand with conditions."""

    holding: int
    ended: int


def rule_counts() -> RuleCounts:
    """One query."""
    found = DutyRule.objects.aggregate(
        holding=Count("pk", filter=Q(ended_at=None)), ended=Count("pk", filter=Q(ended_at__isnull=False))
    )
    return RuleCounts(**found)


# One rule -------------------------------------------------------------------------------------------------------------


def rule_of(pk: int) -> QuerySet[DutyRule]:
    """A rule with what its page names."""
    return DutyRule.objects.filter(pk=pk).select_related("paper", "assignee", "ended_by")


def duties_of(rule: DutyRule) -> QuerySet[Duty]:
    """What followed from a rule, those with the latest day first, those without one before all."""
    rows = Duty.objects.filter(rule=rule).select_related("paper", "promise", "assignee")
    return rows.order_by(F("due_on").desc(nulls_first=True), "pk")


def open_count(rule: DutyRule) -> int:
    """How many duties that follow from it are to be done."""
    return Duty.objects.filter(rule=rule, done_on=None, waived_on=None, dropped_on=None).count()


def history_of(rule: DutyRule) -> list[Change]:
    """Who changed what of a rule. Its number is how long after a day it falls due, no name."""
    return [replace(one, what=str(_("Rule"))) for one in changes_of(DutyRule, id=rule.pk)]


def last_runs() -> QuerySet[DutyRun]:
    """The newest ten runs over the duties."""
    return DutyRun.objects.select_related("by")[:10]


def start_values(condition: Condition | None, paper: Paper | None) -> Mapping[str, Any]:
    """What a new rule begins with: the words of a condition, its page, and to whom the paper is owed."""
    if condition is None:
        return {"paper": paper, "to_whom": paper.issuer if paper else "", "unit": DutyRule.Unit.DAYS}
    return {
        "paper": condition.version.paper, "clause": condition.text, "page": condition.page,
        "to_whom": condition.version.paper.issuer, "unit": DutyRule.Unit.DAYS,
    }  # fmt: skip


@dataclass(frozen=True)
class Preview:
    """The duties that would follow from a rule. obliges: whether its paper was given, so that it asks for anything.
    before: how many of them were due before today. followed_from: the day from which duties are followed; earlier: how
    many were due before that day, and are none here."""

    occurrences: Sequence[Occurrence]
    obliges: bool
    before: int = 0
    followed_from: date | None = None
    earlier: int = 0


def preview(rule: DutyRule, today: date) -> Preview:
    """The days of a rule, saved or not, from the day on which duties are followed until the end of next year."""
    papers = _life_by_key(rule.paper, today)
    if rule.paper is not None and not papers:
        return Preview((), obliges=False)
    asked = asked_by(rule)
    facts = facts_of_papers([asked], papers)
    known = facts.get(rule.paper_id or 0, PaperFacts())
    start = follow_from(today)
    found = occurrences_of(asked, known, min(_first_day(rule, known) or start, start), last_known_day(today))
    followed = [one for one in found if not is_before(one.due, start)]
    before = sum(is_before(one.due, today) for one in followed)
    return Preview(followed, obliges=True, before=before, followed_from=start, earlier=len(found) - len(followed))


def _first_day(rule: DutyRule, facts: PaperFacts) -> date | None:
    """Since when the paper asks for it, as far as it is known: what the calendar asked before has no first day then."""
    return max(filter(None, [rule.held_from, facts.stands.first or facts.issued]), default=None)


MOST_SHOWN: Final = 12
"""So many days of a preview are shown: the last that are past, and those that come."""

_PAST_SHOWN: Final = 4


@dataclass(frozen=True)
class ShownDay:
    """A day of the preview. is_past: it was due before today."""

    due: date | None
    why: str
    label: str
    about: str
    is_past: bool


def shown_days(found: Preview, today: date) -> list[ShownDay]:
    """The days of a preview around today."""
    dated = [one for one in found.occurrences if one.due is not None]
    past = [one for one in dated if one.due is not None and one.due < today]
    coming = [one for one in dated if one.due is not None and one.due >= today]
    undated = [one for one in found.occurrences if one.due is None]
    room = max(MOST_SHOWN - len(coming) - len(undated), _PAST_SHOWN)
    chosen = [*past[-room:], *coming, *undated][:MOST_SHOWN]
    return [
        ShownDay(
            one.due, because_words(as_json(one.because)), one.label if one.about is None else "",
            about_words(one.about.first, one.about.last) if one.about else "", one.due is not None and one.due < today,
        )
        for one in chosen
    ]  # fmt: skip


def _life_by_key(paper: Paper | None, today: date) -> dict[int, Life]:
    life = None if paper is None else life_of(paper, today)
    return {} if life is None else {life.paper.pk: life}


def follow_from(today: date) -> date:
    """From which day duties are followed: as set, or as the first run will set it."""
    house = DutyHouse.objects.filter(pk=1).first()
    return house.follow_from if house else first_follow_from(today)


def first_follow_from(today: date) -> date:
    """1 January of the year before: what was due in the last months may still be open."""
    return date(max(today.year - 1, date.min.year), 1, 1)


def house_or_first(today: date) -> DutyHouse:
    """How duties are followed; where nothing was set, as the first run will set it."""
    return DutyHouse.objects.filter(pk=1).first() or DutyHouse(pk=1, follow_from=first_follow_from(today))
