"""Why a row of data quality is right as it is, and why such a note is taken back."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.audit.actions.quality import LONGEST_WHY


class NoteForm(Form):
    """A reason. seen: the digest of what the page showed, so that nobody decides about what they did not see."""

    why = forms.CharField(
        label=_("Why it is right as it is"), max_length=LONGEST_WHY, widget=forms.Textarea(attrs={"lines": 3}),
        help_text=_("Kept with your name and the day. The row is left out of the counts until it says something else."),
    )  # fmt: skip
    seen = forms.CharField(max_length=64, widget=forms.HiddenInput())


class WithdrawNoteForm(Form):
    """A reason."""

    why = forms.CharField(label=_("Why the note is taken back"), max_length=LONGEST_WHY)


def note_form(data: Any, digest: str) -> NoteForm:
    """The form of a row that says what the digest is of."""
    return NoteForm(data, initial={"seen": digest})
