"""Duties on the page of the day."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone

from governance.duties.queries.today import duties_panel

register = template.Library()


@register.inclusion_tag("duties/_today.html", takes_context=True)
def duties_today(context: dict[str, Any]) -> dict[str, Any]:
    """The panel of duties that are late and that come next; nothing where none is open."""
    user, today = context["request"].user, timezone.localdate()
    return {"panel": duties_panel(today, user), "today": today, "user": user}
