"""What a person may do, for templates: ``{% if user|may:"link-papers" %}``."""

from __future__ import annotations

from typing import Any

from django import template

from accessions.people.access import may as may_do

register = template.Library()


@register.filter
def may(user: Any, verb: str) -> bool:
    """Whether the person may do this; an unknown verb is a mistake of ours and raises ValueError."""
    return may_do(user, verb)
