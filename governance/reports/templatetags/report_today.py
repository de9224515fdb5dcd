"""Reports that wait, on the page of the day: ``{% load report_today %}{% reports_today %}``."""

from __future__ import annotations

from typing import Any

from django import template

from governance.reports.queries.one_report import waiting
from governance.reports.subjects import heading_of

register = template.Library()


@register.inclusion_tag("reports/_today.html", takes_context=True)
def reports_today(context: dict[str, Any]) -> dict[str, Any]:
    """The panel of drafts that wait and of what was issued and not sent; nothing where there are none."""
    user = context["request"].user
    found = waiting(user)
    return {
        "drafts": [(one, heading_of(one)) for one in found["drafts"]],
        "unsent": [(one, heading_of(one)) for one in found["unsent"]], "user": user,
    }  # fmt: skip
