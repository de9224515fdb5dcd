"""Why something is taken off a plan."""

from __future__ import annotations

from django import forms

from accessions.people.entry_forms import Form, why_field


class RemoveForm(Form):
    """seen: the number of the version that the person has before them."""

    why = why_field(required=False)
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)
