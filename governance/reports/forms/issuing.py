"""What a person says before a report is issued, withdrawn, discarded."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, why_field


class IssueForm(Form):
    """That a person looked, and at which state of the report. seen: its mark."""

    seen = forms.CharField(widget=forms.HiddenInput, max_length=64)
    looked = forms.BooleanField(
        label=_("I looked at each of these, and at who will read it"),
        error_messages={"required": _("Look at each of them, then say so here.")},
    )


class ReasonForm(Form):
    """Why a report is withdrawn, a draft discarded, a sending voided."""

    why = why_field(required=True)
