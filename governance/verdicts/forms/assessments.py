"""Asking for an assessment."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Accession


class AssessForm(forms.Form):
    """All of the register, or one accession; and why."""

    accession = forms.CharField(
        label=_("Accession"),
        required=False,
        max_length=100,
        widget=forms.TextInput(attrs={"class": "in w-m", "autocomplete": "off"}),
        help_text=_("Its number; blank: all specimens of the register."),
    )
    why = forms.CharField(
        label=_("Reason"), max_length=200, widget=forms.TextInput(attrs={"class": "in"}),
        help_text=_("It stands with the assessment for good, such as “Engine 1.4 installed”."),
        error_messages={"required": _("Write why the assessment is asked for.")},
    )  # fmt: skip

    def clean_accession(self) -> Accession | None:
        number = self.cleaned_data["accession"].strip()
        if not number:
            return None
        found = Accession.objects.filter(number=number).first()
        if found is None:
            raise ValidationError(
                _("No accession has the number “%(number)s”. Write it as the list of accessions shows it."),
                params={"number": number},
            )
        return found
