"""A stop that was read of a table or a file, in the words of its preview."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template
from django.utils.translation import gettext as _

from governance.plans.queries.content_words import group_words
from governance.plans.queries.plan_words import period_words
from governance.plans.stop_draft import StopDraft

register = template.Library()


@register.filter
def place_read(draft: StopDraft) -> str:
    """Site, country, point with its radius, or that an area is given."""
    values = draft.values
    site, longitude = values.get("site"), values.get("longitude_deg")
    parts = [site.code if site else "", values.get("country") or ""]
    if longitude is not None:
        radius_m = values.get("radius_m")
        reach = _("± %(m)s m") % {"m": f"{radius_m:g}"} if radius_m else _("radius not known")
        parts.append(f"{values['latitude_deg']:.5f}, {longitude:.5f} ({reach})")
    if values.get("area"):
        parts.append(_("drawn area"))
    return ", ".join(part for part in parts if part) or "–"


@register.filter
def days_read(draft: StopDraft) -> str:
    """First and last day."""
    return period_words(draft.values.get("first_on"), draft.values.get("last_on"))


@register.filter
def ways_read(draft: StopDraft) -> str:
    """Methods, then traps with their number and days."""
    methods = [word.strip() for word in str(draft.values.get("methods") or "").split("|") if word.strip()]
    traps = [
        f"{trap['number']} × {trap['method']} ({period_words(trap['first_on'], trap['last_on'])})"
        for trap in draft.traps or ()
    ]
    return ", ".join([*methods, *traps]) or "–"


def _of_group(row: Mapping[str, Any]) -> str:
    words = group_words(row["rank"], row["higher"], row["kingdom"])
    return f" ({words})" if words else ""


@register.filter
def groups_read(draft: StopDraft) -> str:
    """Groups with their expected numbers."""
    rows = [
        f"{row['name']}" + _of_group(row)
        + (f": {row['expected']}" if row["expected"] else "")
        for row in draft.targets or ()
    ]  # fmt: skip
    return ", ".join(rows) or "–"
