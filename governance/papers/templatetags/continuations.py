"""What came before and after a paper, for its page."""

from __future__ import annotations

from django import template

from governance.papers.queries import continuations

register = template.Library()

register.simple_tag(continuations.continuations_of, name="continuations_of")
