"""Duties towards the reader of a report: those that are open, and those of the period."""

from __future__ import annotations

from typing import Any

from django.db.models import Q

from governance.duties.models import Duty
from governance.duties.queries.listing import with_state
from governance.engine.duties.states import State
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.papers import Papers
from governance.reports.composing.scope import Period, Scope, iso
from governance.reports.contents import Row
from governance.usedesk.queries.material import among

OPEN: frozenset[str] = frozenset({State.DAY_NOT_KNOWN, State.COMING, State.DUE, State.LATE})
"""States of what is still to be done."""


def rows_of(scope: Scope, papers: Papers, disclosing: Disclosing) -> list[Row]:
    """A row a duty, by their days, those without a day last."""
    found: list[Row] = []
    for duty in _owed(scope, papers):
        if duty.state not in OPEN and not _is_of(scope.period, duty):
            continue
        if disclosing.goes_in(duty.paper_id):
            found.append(_row(duty, disclosing))
        else:
            disclosing.count("kept_duties")
    return found


def _owed(scope: Scope, papers: Papers) -> Any:
    """Duties of the papers of the reader, and of promises to the country that no paper makes."""
    owed = among("paper", papers.of_provider)
    if scope.report.country:
        owed |= Q(paper__isnull=True, promise__country=scope.report.country)
    rows: Any = with_state(Duty.objects.filter(owed), scope.today)
    return rows.exclude(state=State.NO_LONGER_ASKED.value).select_related("paper")


def _is_of(period: Period, duty: Any) -> bool:
    """Whether a duty belongs to the period: it fell due in it, was seen to in it, or is about some of it."""
    days = [day for day in (duty.due_on, duty.done_on, duty.accepted_on, duty.waived_on) if day is not None]
    is_about = duty.about_from is not None and duty.about_to is not None
    return any(map(period.has, days)) or (is_about and period.meets(duty.about_from, duty.about_to))


def _row(duty: Any, disclosing: Disclosing) -> Row:
    days = map(iso, (duty.about_from, duty.about_to, duty.done_on))
    return (
        disclosing.masked(duty.paper.reference) if duty.paper else None, duty.kind, disclosing.masked(duty.what),
        iso(duty.due_on), duty.state, *days,
    )  # fmt: skip
