"""The first steps on Today, until the register is in use."""

from __future__ import annotations

from typing import Any

from django import template
from django.http import HttpRequest

from accessions.people.access import person_of
from governance.guide.models import Step
from governance.guide.queries.found import beginnings
from governance.guide.queries.leading import HIDDEN, leading

register = template.Library()


_SHOWN_ANYWAY = ("verdicts:today", "guide:steps")
"""Pages that show all steps themselves."""


@register.inclusion_tag("guide/_today.html", takes_context=True)
def first_steps(context: dict[str, Any], always: bool = False) -> dict[str, Any]:
    """The panel of first steps; nothing when the register is in use, or the panel was put away in this browser.

    always: for the page of a register without specimens, which would else be blank.
    """
    request = context["request"]
    shown = leading(request.user) if always or _is_led(request) else None
    return {"leading": shown, "can_hide": not always, "user": request.user, "csrf_token": context.get("csrf_token")}


@register.inclusion_tag("guide/_next.html", takes_context=True)
def next_step(context: dict[str, Any]) -> dict[str, Any]:
    """The next first step in one line, below the words that say what was done; nothing as with ``first_steps``."""
    request = context["request"]
    match = request.resolver_match
    if match is None or match.view_name in _SHOWN_ANYWAY or not request.user.is_authenticated or not _is_led(request):
        return {}
    one = leading(request.user).next
    if one is not None and one.step is Step.INTAKE and match.namespace == "intake" and "pk" in match.kwargs:
        return {}  # the pages of a file have the way on themselves
    return {"one": one, "here": request.path}


def _is_led(request: HttpRequest) -> bool:
    return request.COOKIES.get(HIDDEN) != "hidden" and not beginnings(person_of(request)).is_over
