"""What the trail of some material is narrowed to."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, offer
from governance.usedesk.models import MadeUse
from governance.usedesk.queries.trail import DECLINED, Narrowed

_DEEDS = [("", _("All")), *MadeUse.Deed.choices, (DECLINED, _("Asked for and declined"))]


class TrailForm(Form):
    """Narrows and turns the entries."""

    deed = forms.ChoiceField(label=_("What was done"), required=False, choices=_DEEDS)
    year = forms.ChoiceField(label=_("Year"), required=False)
    order = forms.ChoiceField(
        label=_("Order"), required=False, choices=[("", _("Newest first")), ("oldest", _("Oldest first"))]
    )
    outside = forms.BooleanField(label=_("Only not within the terms"), required=False)
    voided = forms.BooleanField(label=_("With voided entries"), required=False)

    def __init__(self, *args: Any, years: list[int], **more: Any) -> None:
        super().__init__(*args, **more)
        offer(self.fields["year"], [("", _("All")), *((str(year), str(year)) for year in years)])

    def narrowed(self) -> Narrowed:
        """The filter that was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        told = self.cleaned_data
        return Narrowed(
            told.get("deed", ""), told.get("year", ""), bool(told.get("outside")), bool(told.get("voided")),
            told.get("order") == "oldest",
        )  # fmt: skip
