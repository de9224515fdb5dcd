"""What people write in a report in their own words."""

from __future__ import annotations

from typing import Any, Final

from django import forms

from accessions.people.entry_forms import Form
from governance.reports.composing.declared import problems_of_texts
from governance.reports.tables import TEXTS
from governance.reports.words import TEXT_WORDS, plain

_LONGEST: Final = 20_000


class TextsForm(Form):
    """One box a text of the kind."""

    def __init__(self, *args: Any, kind: str, **more: Any) -> None:
        super().__init__(*args, **more)
        self.kind = kind
        for key in TEXTS[kind]:
            label, hint = TEXT_WORDS.get(key, (plain(key), ""))
            self.fields[key] = forms.CharField(
                label=label, help_text=hint, required=False, max_length=_LONGEST,
                widget=forms.Textarea(attrs={"class": "in", "rows": 4}),
            )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Texts that are counted line by line must be readable: each line that is not is told at its box."""
        told = super().clean() or {}
        for key, problems in problems_of_texts(self.kind, told).items():
            for problem in problems:
                self.add_error(key, problem)
        return told

    def texts(self) -> dict[str, str]:
        """What was written, by key."""
        return {key: str(text) for key, text in self.cleaned_data.items()}
