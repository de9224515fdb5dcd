"""What papers ask for: the yearly reports and notices of their conditions, and the rules that people entered."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.duties.models import DutyKind, DutyRule
from governance.duties.words import month_day_words
from governance.engine.duties import About as EngineAbout
from governance.engine.duties import Occurrence, Rule, Span, When
from governance.engine.duties import Unit as EngineUnit
from governance.papers.lifetimes import Lifetime, Standing, in_order, lifetime
from governance.papers.models import Condition, Paper, PaperStatus, PaperVersion

_DAY: Final = timedelta(1)
_NOT_GIVEN: Final = frozenset({Standing.APPLIED, Standing.REFUSED})
_ENDED: Final = frozenset({Standing.REVOKED, Standing.WITHDRAWN, Standing.SURRENDERED})


@dataclass(frozen=True)
class Asked:
    """One duty as a paper or the house asks for it. source: as of ``Duty``. rules: the same for each time in which it
    was asked. elsewhere: of a yearly report, the times in which the paper asked for it by another day instead."""

    source: str
    kind: str
    what: str
    rules: tuple[Rule, ...]
    to_whom: str = ""
    paper: int | None = None
    rule: int | None = None
    assignee: int | None = None
    elsewhere: tuple[Span, ...] = ()

    def is_superseded(self, one: Occurrence) -> bool:
        """Whether the report on this time is asked for by another day, since the paper was amended before its day."""
        about, due = one.about, one.due
        return about is not None and due is not None and any(
            _holds(span, due) and _meets(span, about) for span in self.elsewhere
        )  # fmt: skip


@dataclass(frozen=True)
class Life:
    """A paper from its first day to its last; by key of each version the days on which it held."""

    paper: Paper
    stands: Span
    versions: Mapping[int, Span]


def lives(today: date, only: Collection[int | None] | None = None) -> dict[int, Life]:
    """The papers that may ask for something, by key: with a condition of a day, or with a rule; only: among these.
    Three queries.

    A paper that was never given, only applied for or refused, asks for nothing.
    """
    asks = Condition.objects.filter(Q(notice_days__isnull=False) | ~Q(report_by="")).values("version__paper")
    ruled = DutyRule.objects.filter(ended_at__isnull=True, paper__isnull=False).values("paper")
    papers = Paper.objects.filter(Q(pk__in=asks) | Q(pk__in=ruled)).prefetch_related("statuses", "versions")
    if only is not None:
        papers = papers.filter(pk__in=[key for key in only if key is not None])
    return {paper.pk: life for paper in papers if (life := life_of(paper, today)) is not None}


def life_of(paper: Paper, today: date) -> Life | None:
    """The days of a paper; None if it was never given."""
    told = lifetime(paper, today)
    if told.standing in _NOT_GIVEN:
        return _before_it_was_asked_again(paper, told)
    last = told.last
    if last is None and told.standing in _ENDED and told.since is not None:
        last = told.since - _DAY
    return Life(paper, Span(told.first, last), _held(in_order(paper.versions.all()), last))


def _before_it_was_asked_again(paper: Paper, told: Lifetime) -> Life | None:
    """The days of a paper whose last word is an application or a refusal: of its renewal, where it held before.

    It held if it was granted, or if a version began before anybody applied. What was held before runs to its own end,
    and where that is open until the refusal. Versions that begin with the application or later were not given.
    """
    turns = sorted(paper.statuses.all(), key=lambda turn: (turn.from_on, turn.pk or 0))
    granted = max((n for n, turn in enumerate(turns) if turn.state == PaperStatus.State.GRANTED), default=-1)
    asked = next(turn for turn in turns[granted + 1 :] if turn.state in _NOT_GIVEN).from_on
    versions = [one for one in in_order(paper.versions.all()) if (one.in_force_from or date.min) < asked]
    if granted < 0 and not any(one.in_force_from for one in versions):
        return None
    ends = [turn.from_on - _DAY for turn in turns if turn.state in _ENDED]
    ends += [one.in_force_to for one in versions[-1:] if one.in_force_to]
    if not ends and told.standing == Standing.REFUSED and told.since is not None:
        ends.append(told.since - _DAY)
    last = min(ends, default=None)
    return Life(paper, Span(versions[0].in_force_from if versions else None, last), _held(versions, last))


def _held(versions: Sequence[PaperVersion], last: date | None) -> dict[int, Span]:
    """Each version until its last day, or the day before the next one holds, or the end of the paper."""
    found = {}
    for place, one in enumerate(versions, start=1):
        start_of_next = versions[place].in_force_from if place < len(versions) else None
        ends = [one.in_force_to, start_of_next - _DAY if start_of_next else None, last]
        found[one.pk] = Span(one.in_force_from, min((day for day in ends if day), default=None))
    return found


# Conditions of papers -------------------------------------------------------------------------------------------------


def asked_by_conditions(papers: Mapping[int, Life]) -> list[Asked]:
    """The yearly reports and notices of all versions; what successive versions ask alike is one. One query."""
    conditions = Condition.objects.filter(version__paper__in=list(papers)).filter(
        Q(notice_days__isnull=False) | ~Q(report_by="")
    )
    spans: dict[int, dict[tuple[str, str | int], list[Span]]] = defaultdict(lambda: defaultdict(list))
    rows = conditions.order_by("version__in_force_from", "pk").values_list(
        "version__paper", "version", "report_by", "notice_days"
    )
    for paper, version, report_by, notice_days in rows:
        held = papers[paper].versions.get(version)
        if held is None:
            continue  # of a renewal that was not given
        if report_by:
            spans[paper]["report", report_by].append(held)
        if notice_days is not None:
            spans[paper]["notice", notice_days].append(held)
    return [one for paper, asks in spans.items() for one in _of_paper(papers[paper], asks)]


def _of_paper(life: Life, asks: Mapping[tuple[str, str | int], list[Span]]) -> list[Asked]:
    joined = {key: _joined(spans) for key, spans in asks.items()}
    reports = {key: spans for key, spans in joined.items() if key[0] == "report"}
    made = []
    for (what, value), spans in joined.items():
        if what == "notice":
            made.append(_notice(life, int(value), spans))
        else:
            others = [span for key, own in reports.items() if key != (what, value) for span in own]
            made.append(_report(life, str(value), spans, [one for one in others if one not in spans]))
    return made


def _joined(spans: Iterable[Span]) -> list[Span]:
    """Spans by their first day, those that follow each other without a gap as one."""
    found: list[Span] = []
    for span in sorted(set(spans), key=lambda one: one.first or date.min):
        if found and (found[-1].last is None or (span.first or date.min) <= found[-1].last + _DAY):
            lasts = (found[-1].last, span.last)
            found[-1] = Span(found[-1].first, None if None in lasts else max(day for day in lasts if day))
        else:
            found.append(span)
    return found


def _report(life: Life, month_day: str, spans: Sequence[Span], others: Sequence[Span]) -> Asked:
    rule = Rule(When.EACH_YEAR, month_day=month_day)
    return Asked(
        f"paper-{life.paper.pk}/report/{month_day}", DutyKind.REPORT,
        _("Send the yearly report, due by %(day)s") % {"day": month_day_words(month_day)},
        tuple(replace(rule, from_day=one.first, to_day=one.last) for one in spans), life.paper.issuer, life.paper.pk,
        elsewhere=tuple(_until_told(one, life) for one in others),
    )  # fmt: skip


def _until_told(span: Span, life: Life) -> Span:
    """What the last version asks counts after its end, too."""
    is_last = span.last is None or (life.stands.last is not None and span.last >= life.stands.last)
    return Span(span.first, None) if is_last else span


def _notice(life: Life, days: int, spans: Sequence[Span]) -> Asked:
    rule = Rule(When.BEFORE_ENTRY, number=days)
    words = ngettext(
        "Give notice %(n)d day before the first day in the field",
        "Give notice %(n)d days before the first day in the field", days,
    )  # fmt: skip
    return Asked(
        f"paper-{life.paper.pk}/notice/{days}", DutyKind.NOTICE, words % {"n": days},
        tuple(replace(rule, from_day=one.first, to_day=one.last) for one in spans), life.paper.issuer, life.paper.pk,
    )  # fmt: skip


def _holds(span: Span, day: date) -> bool:
    return (span.first or date.min) <= day <= (span.last or date.max)


def _meets(one: Span, other: Span) -> bool:
    return (one.first or date.min) <= (other.last or date.max) and (other.first or date.min) <= (one.last or date.max)


# Rules that people entered --------------------------------------------------------------------------------------------


def source_of(rule: int) -> str:
    """What duties of an entered rule follow from."""
    return f"rule-{rule}"


def asked_by_rules(papers: Mapping[int, Life]) -> list[Asked]:
    """The rules that hold, of papers that were given and of the house. One query."""
    rules = DutyRule.objects.filter(ended_at__isnull=True)
    return [asked_by(rule) for rule in rules if rule.paper_id is None or rule.paper_id in papers]


def asked_by(rule: DutyRule) -> Asked:
    """One rule, ready for the engine; also one that is not saved yet."""
    return Asked(
        source_of(rule.pk or 0), rule.kind, rule.what, (engine_rule(rule),), rule.to_whom, rule.paper_id, rule.pk,
        rule.assignee_id,
    )  # fmt: skip


def engine_rule(rule: DutyRule) -> Rule:
    """The rule as the engine takes it."""
    return Rule(
        When(rule.when), month_day=rule.month_day, number=rule.number, unit=EngineUnit(rule.unit), on=rule.on,
        about=EngineAbout(rule.about), deeds=frozenset(rule.deeds), if_nothing=rule.if_nothing,
        from_day=rule.held_from, to_day=rule.held_to,
    )  # fmt: skip


def ended_sources() -> set[str]:
    """What no new duty follows from any more: what followed before is left as it is. One query."""
    return {source_of(pk) for pk in DutyRule.objects.filter(ended_at__isnull=False).values_list("pk", flat=True)}
