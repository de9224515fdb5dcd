"""What became of material, in short, on the pages of other rooms."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from django import template
from django.urls import reverse
from django.utils.translation import gettext as _

from governance.usedesk.queries.material import Material, of_accession, of_agent, of_country, of_site, of_specimen
from governance.usedesk.queries.trail import Entry, Narrowed, entries, read_entries

register = template.Library()

LAST: Final = 3
"""Entries that the panel shows."""


def _of_agent(agent: Any) -> Material | None:
    """None of somebody who held no site and received nothing, as far as is recorded."""
    sides = of_agent(agent, "")
    return sides.material if sides.held_sites or sides.received else None


_OF: Final[Mapping[str, Callable[[Any], Material | None]]] = {
    "specimen": of_specimen, "accession": of_accession, "site": of_site, "country": of_country, "agent": _of_agent,
}  # fmt: skip


@register.inclusion_tag("usedesk/_trail_panel.html", takes_context=True)
def what_became(context: Any, kind: str, subject: Any) -> dict[str, Any]:
    """How many entries there are and the last of them. kind: specimen, accession, site, agent, country.

    Args:
        subject: the row, of a country its code; blank is none, and then there is no panel.
    """
    material = _OF[kind](subject) if subject else None
    if material is None:
        return {"count": 0, "kind": ""}
    rows = entries(material, Narrowed())
    count = rows.count() if material.uses or material.declined else 0
    lines = read_entries(material, list(rows[:LAST]), context["user"]) if count else []
    return {
        "count": count, "lines": lines, "kind": kind, "user": context["user"],
        "address": reverse(f"usedesk:trail-{kind}", args=[material.key]),
    }  # fmt: skip


@register.filter
def trail_what(entry: Entry) -> str:
    """What was done, in a word."""
    return _("Asked for and declined") if entry.is_declined else str(entry.made.get_deed_display())
