"""Form controls in the dress of the pages: ``{{ field|control }}``."""

from __future__ import annotations

from django import forms, template
from django.forms import BoundField
from django.utils.safestring import SafeString

register = template.Library()

_BARE = (forms.CheckboxInput, forms.RadioSelect, forms.CheckboxSelectMultiple, forms.HiddenInput)
"""Controls that are no boxes and so take no frame."""


@register.filter
def control(field: BoundField) -> SafeString:
    """The control of a field, framed as every box of the pages is; what the form gave it stays."""
    widget = field.field.widget
    given = str(widget.attrs.get("class", ""))
    if isinstance(widget, _BARE) or "in" in given.split():
        return field.as_widget()
    return field.as_widget(attrs={"class": f"in {given}".strip()})


@register.filter
def is_checkbox(field: BoundField) -> bool:
    """Whether the field is one box to tick, whose label stands behind it."""
    return isinstance(field.field.widget, forms.CheckboxInput)
