"""What was disposed of, on the page of its paper."""

from __future__ import annotations

from django import template

from governance.audit.models import Disposal
from governance.papers.models import Paper

register = template.Library()


@register.inclusion_tag("audit/_disposed.html")
def disposal_of_paper(paper: Paper) -> dict[str, Disposal | None]:
    """The line that says when its files were disposed of, and why; nothing where they were not. One query."""
    return {"disposal": Disposal.objects.filter(paper=paper).select_related("disposed_by").first()}
