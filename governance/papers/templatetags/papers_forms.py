"""Mistakes of several forms in one summary."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django import template

register = template.Library()


@dataclass(frozen=True)
class Mistake:
    """One mistake; anchor: the control it is about, "" if it is about the whole."""

    label: str
    text: str
    anchor: str


@register.filter
def mistakes(forms: Iterable[Any]) -> list[Mistake]:
    """All mistakes of the forms in the order of the page."""
    found = []
    for form in forms:
        if not form.is_bound:
            continue
        found += [Mistake(_named(form), str(error), "") for error in form.non_field_errors()]
        found += [
            Mistake(_named(form, str(field.label)), str(error), field.id_for_label or field.auto_id)
            for field in form
            for error in field.errors
        ]
    return found


def _named(form: Any, label: str = "") -> str:
    """The label of a box, after the name of its form if the page has many that are alike."""
    return ", ".join(words for words in (str(getattr(form, "named", "")), label) if words)
