"""What a paper asks for, on its page."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone

from governance.duties.queries.today import panel_of_paper
from governance.papers.models import Paper

register = template.Library()


@register.inclusion_tag("duties/_of_paper.html", takes_context=True)
def paper_duties(context: dict[str, Any], paper: Paper) -> dict[str, Any]:
    """The panel of the duties of a paper, whether or not there are any: that none are known is said."""
    user, today = context["request"].user, timezone.localdate()
    return {"panel": panel_of_paper(paper, today, user), "paper": paper, "today": today, "user": user}
