"""Reports on other pages: ``{% load reports %}{% reports_of_duty duty %}`` and ``{% reports_of_paper paper %}``."""

from __future__ import annotations

from typing import Any

from django import template

from governance.duties.models import Duty
from governance.papers.models import Paper
from governance.reports.queries.listing import STATE_WORDS, state_of
from governance.reports.queries.offered import REPORTED
from governance.reports.queries.one_report import reports_of
from governance.reports.subjects import heading_of

register = template.Library()

_MOST = 6


@register.inclusion_tag("reports/_panel.html", takes_context=True)
def reports_of_duty(context: dict[str, Any], duty: Duty) -> dict[str, Any]:
    """The panel of reports that answer a duty; the way to a new one while it is open."""
    is_open = duty.done_on is None and duty.waived_on is None and duty.dropped_on is None
    can_answer = is_open and duty.kind in REPORTED
    return _panel(context, {"duty": duty}, f"duty={duty.pk}", can_answer)


@register.inclusion_tag("reports/_panel.html", takes_context=True)
def reports_of_paper(context: dict[str, Any], paper: Paper) -> dict[str, Any]:
    """The panel of reports about a paper, and the way to a new one."""
    return _panel(context, {"paper": paper}, f"paper={paper.pk}", True)


def _panel(context: dict[str, Any], about: dict[str, Any], query: str, is_offered: bool) -> dict[str, Any]:
    user = context["request"].user
    found = list(reports_of(user, **about)[: _MOST + 1])
    lines = [(one, heading_of(one), STATE_WORDS[state_of(one)]) for one in found[:_MOST]]
    return {"lines": lines, "has_more": len(found) > _MOST, "query": query, "is_offered": is_offered, "user": user}
