"""Yearly reports that papers ask for: a report that is not in can hold back what is asked for next."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from django.utils.translation import gettext as _

from governance.engine.duties import PaperFacts, Rule, Span, When, occurrences
from governance.engine.tables import fold
from governance.papers.models import Condition, Paper, PaperContinuation
from governance.plans.advice.saying import Draft, day_words
from governance.plans.judging import PaperUsed
from governance.plans.models import Application
from governance.plans.planned_rows import plan_key
from governance.plans.queries.check import PlanCheck

_YEAR = timedelta(366)
_From = tuple[str, str]
"""Kind and issuer, folded: what a renewal has in common with the paper before."""


def advice_on_reports(check: PlanCheck) -> Iterator[Draft]:
    """Reports due between today and the first day, or passed this year, by the papers of the plan, those they continue,
    and earlier ones of the same kind from whom one is used or asked for. Whether one was sent is not known here.

    Four queries.
    """
    own = _own(check)
    earlier = set(PaperContinuation.objects.filter(later__in=own).values_list("earlier_id", flat=True))
    wanted = _askers(check, own)
    firsts = [first for one in check.loaded.stops if (first := one.days[0])]
    until = min(firsts, default=check.today + _YEAR)
    said: dict[tuple[int, date], Draft] = {}
    conditions = Condition.objects.exclude(report_by="").select_related("version__paper")
    for condition in conditions.order_by("version__paper__reference", "pk"):
        paper = condition.version.paper
        if paper.pk not in own | earlier and _from(paper.kind, paper.issuer) not in wanted:
            continue
        due = _due_day(condition, check.today, until)
        if due is not None:
            said.setdefault((paper.pk, due), _draft(paper, due, check.today))
    yield from said.values()


def _own(check: PlanCheck) -> set[int]:
    """Papers linked to the plan, and those behind a verdict of it."""
    keys = {plan_key(check.loaded.plan.pk, one.stop.pk) for one in check.loaded.stops}
    bench = check.bench
    attached = {pk for pk, p in zip(bench.paper_ids, bench.papers, strict=True) if p.covers.accessions & keys}
    return attached | {used.pk for cell in check.cells.values() for a in cell.answers for used in a.papers}


def _askers(check: PlanCheck, own: set[int]) -> set[_From]:
    """From whom papers of which kind are used, or asked for."""
    asked = Application.objects.filter(plan=check.loaded.plan, refused_on__isnull=True, dropped_on__isnull=True)
    rows = [*Paper.objects.filter(pk__in=own).values_list("kind", "issuer"), *asked.values_list("kind", "authority")]
    return {_from(kind, issuer) for kind, issuer in rows if issuer.strip()}


def _from(kind: str, issuer: str) -> _From:
    return kind, fold(issuer)


def _due_day(condition: Condition, today: date, until: date) -> date | None:
    """The next due day, if it is not after ``until``; else the last one of this year. Only for a time in force."""
    version = condition.version
    rule = Rule(When.EACH_YEAR, month_day=condition.report_by)
    held = PaperFacts(stands=Span(version.in_force_from or date.min, version.in_force_to))
    found = occurrences(rule, held, since=date(today.year, 1, 1), until=until)
    days = [one.due for one in found if one.due is not None]
    return min((day for day in days if day >= today), default=max(days, default=None))


def _draft(paper: Paper, due: date, today: date) -> Draft:
    told = {"paper": paper.reference, "due": day_words(due)}
    asks = (
        _("%(paper)s asks for a report by %(due)s.") if due >= today else _("%(paper)s asked for a report by %(due)s.")
    )
    rest = _(
        "Whether it was sent is not recorded here. Authorities often hold back a renewal until it is in: check before "
        "you ask."
    )
    return Draft(
        "report-due", f"{asks % told} {rest}", papers=(PaperUsed(paper.pk, paper.reference),),
        by_day=due if due >= today else None, secret=frozenset({paper.pk}),
    )  # fmt: skip
