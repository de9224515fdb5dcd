"""The days of a stop alone, as they are changed from the matrix."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, why_field
from governance.plans.models import Stop


class StopDaysForm(Form):
    """First and last day, blank while they are not fixed. seen: the version that the person has before them."""

    first_on = forms.DateField(label=_("First day"), required=False)
    last_on = forms.DateField(label=_("Last day"), required=False)
    why = why_field(required=False)
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, stop: Stop, seen: int | None, **more: Any) -> None:
        super().__init__(*args, initial={"first_on": stop.first_on, "last_on": stop.last_on, "seen": seen}, **more)

    @property
    def days(self) -> dict[str, Any]:
        """As the action takes them."""
        return {name: self.cleaned_data[name] for name in ("first_on", "last_on")}
