"""Field plans on the page of the day."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone

from governance.plans.queries.ahead import Ahead
from governance.plans.queries.ahead import plans_ahead as read

register = template.Library()


@register.inclusion_tag("plans/_ahead.html", takes_context=True)
def plans_ahead(context: dict[str, Any]) -> dict[str, Any]:
    """The panel of the open plans and of the reader's applications; nothing where there are none."""
    found: Ahead = read(timezone.localdate(), context["request"].user)
    return {"ahead": found, "user": context["request"].user}
