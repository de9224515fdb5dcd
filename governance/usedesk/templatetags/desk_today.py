"""What waits at the use desk, on the page of the day."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone

from governance.usedesk.queries.waiting import waiting_at_the_desk

register = template.Library()


@register.inclusion_tag("usedesk/_today.html", takes_context=True)
def desk_today(context: dict[str, Any]) -> dict[str, Any]:
    """The panel of requests that want an answer and of questions that wait; nothing where there are none."""
    return {"waiting": waiting_at_the_desk(timezone.localdate()), "user": context["request"].user}
