"""Restricted papers in templates: ``{% if paper|is_readable:user %}``, ``{% restricted paper %}``."""

from __future__ import annotations

from typing import Any

from django import template

from governance.papers import restriction
from governance.papers.models import Paper

register = template.Library()


@register.filter
def is_readable(paper: Paper, user: Any) -> bool:
    """Whether the person may read what is in the paper."""
    return restriction.is_readable(paper, user)


@register.filter
def is_restricted(paper: Paper) -> bool:
    """Whether some role may not read it."""
    return restriction.is_restricted(paper)


@register.filter
def open_to(paper: Paper) -> str:
    """The roles that may read it, in a list."""
    return restriction.roles_in_a_list(paper.restricted_to)


@register.filter
def issuer_for(paper: Paper, user: Any) -> str:
    """Who gave the paper; "" for those who may not read it."""
    return paper.issuer if restriction.is_readable(paper, user) else ""


@register.inclusion_tag("papers/_restricted_line.html")
def restricted_line(paper: Paper) -> dict[str, Any]:
    """The line that stands in place of the content."""
    return {"words": restriction.restricted_words(paper.restricted_to)}
