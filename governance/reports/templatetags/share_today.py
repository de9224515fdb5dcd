"""Messages from shared pages that wait, on the page of the day."""

from __future__ import annotations

from typing import Any

from django import template

from governance.reports.queries.shares import unread

register = template.Library()

_SHOWN = 3


@register.inclusion_tag("reports/_share_today.html", takes_context=True)
def share_today(context: dict[str, Any]) -> dict[str, Any]:
    """The panel of messages that nobody has read yet; nothing where there are none."""
    waiting = unread(context["request"].user)
    found = list(waiting[:_SHOWN])
    return {"found": found, "count": waiting.count() if len(found) == _SHOWN else len(found)}
