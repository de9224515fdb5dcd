"""Loans and remedies on the page of the day."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone

from governance.usedesk.queries.overdue import waiting

register = template.Library()


@register.inclusion_tag("usedesk/_loans_today.html", takes_context=True)
def loans_today(context: dict[str, Any]) -> dict[str, Any]:
    """The panel of loans that are late or fall due, and of open remedies; nothing where there are none."""
    user = context["request"].user
    return {"waiting": waiting(timezone.localdate(), user), "user": user}
