"""What people type of a pooled sample."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.usedesk.queries.chosen import by_numbers, numbers_in


class PoolForm(Form):
    """The number of a pool and of what it was made."""

    catalog_number = forms.CharField(label=_("Catalogue number of the pool"), max_length=200)
    numbers = forms.CharField(
        label=_("Made from"), widget=forms.Textarea(attrs={"lines": 8}),
        help_text=_("Catalogue numbers, one a line or with commas between; at least two"),
    )  # fmt: skip
    preparation = forms.CharField(
        label=_("Preparation"), required=False, max_length=200, help_text=_("Such as: pooled legs, bulk extract")
    )
    remarks = forms.CharField(label=_("Remarks"), required=False, widget=forms.Textarea(attrs={"lines": 2}))

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        found, problems = by_numbers(numbers_in(str(told.get("numbers") or "")))
        for problem in problems:
            self.add_error("numbers", problem)
        self.ids = list(dict.fromkeys(found.values()))
        return told
