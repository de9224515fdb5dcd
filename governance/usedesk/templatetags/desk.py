"""The desk on pages of other rooms, and references that do not break over a line."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe

from accessions.material.models import Specimen
from governance.papers.models import Paper
from governance.usedesk.queries.specimen_uses import UseAnswer, specimen_uses

register = template.Library()


@register.filter
def nowrap(text: str) -> SafeString:
    """A reference that stays on one line."""
    return format_html('<span class="nowrap">{}</span>', text)


@register.filter
def with_ref(words: str, paper: Paper | None) -> SafeString:
    """A sentence whose reference of a paper stays on one line."""
    escaped = conditional_escape(words)
    if paper is None:
        return escaped
    return mark_safe(escaped.replace(conditional_escape(paper.reference), nowrap(paper.reference)))


@register.inclusion_tag("usedesk/_what_may_be_done.html", takes_context=True)
def what_may_be_done(context: Any, specimen: Specimen) -> dict[str, Any]:
    """The answer of today for each kind of use, on the page of a specimen."""
    lines: list[UseAnswer] = specimen_uses(specimen.pk, timezone.localdate(), context["user"])
    return {"lines": lines, "specimen": specimen, "user": context["user"]}
