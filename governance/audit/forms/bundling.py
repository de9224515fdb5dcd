"""The two clocks of a bundle."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form


class BundleForm(Form):
    """As of which day in the world, as known on which day of the register; blank: today, now."""

    on = forms.DateField(
        label=_("As of (day in the world)"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    known = forms.DateField(
        label=_("As known on (day of the register)"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
