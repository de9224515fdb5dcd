"""The reason for which a specimen is removed from the register."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from accessions.people.history import WHY_LENGTH


class RemovalForm(Form):
    """Why it should never have been in the register: the one thing that is asked."""

    why = forms.CharField(
        label=_("Reason"), max_length=WHY_LENGTH,
        help_text=_("Why it should not be there. Kept with your name, and shown to whoever looks for the number"),
    )  # fmt: skip
