"""The nine small marks of a country sheet: a letter code and a sign, and the same in words."""

from __future__ import annotations

from django import template
from django.utils.translation import gettext as _

from governance.papers.models import LAYER_NAMES
from governance.verdicts.cells import LAYER_CODES
from governance.verdicts.queries.countries import LayerMark

register = template.Library()

_SIGNS = {"required": "+", "not-required": "–", "dated": "/", "everywhere": "*", "nothing": "?"}


@register.filter
def mark_code(mark: LayerMark) -> str:
    """The two letters of the layer."""
    return LAYER_CODES[mark.layer]


@register.filter
def mark_sign(mark: LayerMark) -> str:
    """One sign for what is said; never colour alone."""
    return _SIGNS[mark.said]


@register.filter
def mark_words(mark: LayerMark) -> str:
    """Layer and what is said of it."""
    words = {
        "required": _("required"),
        "not-required": _("not required"),
        "dated": _("depends on the day"),
        "everywhere": _("as said for everywhere"),
        "nothing": _("nothing is said"),
    }
    return f"{LAYER_NAMES[mark.layer]}: {words[mark.said]}"
