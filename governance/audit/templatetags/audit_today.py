"""Followed questions on the page of the day."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone

from governance.audit.queries.saved import on_today

register = template.Library()


@register.inclusion_tag("audit/_today.html", takes_context=True)
def audit_today(context: dict[str, Any]) -> dict[str, Any]:
    """The panel of followed questions with their numbers; nothing where none is followed."""
    return {"lines": on_today(context["request"].user, timezone.now())}
