"""What a person looks for in the words of scans."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.scans.reading.wanted import Phrase, phrases


class WordsForm(Form):
    """One box; what makes no sense finds nothing, never an error page."""

    q = forms.CharField(
        label=_("Words on a page"), required=False, max_length=200,
        help_text=_(
            "All of them must stand on the page. “In quotes”: one after the other. The last may be a beginning. "
            "Capitals and accents make no difference."
        ),
        widget=forms.TextInput(attrs={"type": "search"}),
    )  # fmt: skip
    scan = forms.IntegerField(required=False, min_value=1, max_value=2**62, widget=forms.HiddenInput)

    def asked(self) -> tuple[str, tuple[Phrase, ...], int | None]:
        """The words as typed, what they mean, and the one scan to which the search is narrowed."""
        self.is_valid()
        told: dict[str, Any] = self.cleaned_data
        text = told.get("q") or ""
        return text, phrases(text), told.get("scan")
