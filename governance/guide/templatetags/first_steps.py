"""The first steps on Today, until the register is in use."""

from __future__ import annotations

from typing import Any

from django import template

from governance.guide.queries.found import beginnings
from governance.guide.queries.leading import Leading, leading

register = template.Library()

HIDDEN = "first-steps"
"""The cookie that says that the panel was put away in this browser."""


@register.inclusion_tag("guide/_today.html", takes_context=True)
def first_steps(context: dict[str, Any], always: bool = False) -> dict[str, Any]:
    """The panel of first steps; nothing when the register is in use, or the panel was put away in this browser.

    always: for the page of a register without specimens, which would else be blank.
    """
    request = context["request"]
    shown: Leading | None = None
    if always or (request.COOKIES.get(HIDDEN) != "hidden" and not beginnings(request.user).is_over):
        shown = leading(request.user)
    return {"leading": shown, "can_hide": not always, "user": request.user, "csrf_token": context.get("csrf_token")}
