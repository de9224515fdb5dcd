"""How a report was sent."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.access import Verb, may
from accessions.people.entry_forms import Form


class SendingForm(Form):
    """A sending with its proof. person: who types, who may not add scans."""

    sent_on = forms.DateField(label=_("Sent on"))
    to_whom = forms.CharField(label=_("To whom"), max_length=300)
    how = forms.CharField(label=_("How"), max_length=200, help_text=_("Such as registered mail, e-mail, their portal"))
    proof = forms.CharField(
        label=_("Proof"), max_length=2000, widget=forms.Textarea(attrs={"lines": 2}),
        help_text=_("Such as the number of the receipt, and where it is kept"),
    )  # fmt: skip
    proof_file = forms.FileField(
        label=_("The proof as a file"), required=False, help_text=_("A scan or mail; it is kept as it came")
    )

    def __init__(self, *args: Any, person: Any, today: date, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["sent_on"].widget.attrs["max"] = today.isoformat()
        if not may(person, Verb.ATTACH_SCANS):
            del self.fields["proof_file"]

    def values(self) -> dict[str, Any]:
        """The fields of the sending."""
        return {name: self.cleaned_data[name] for name in ("sent_on", "to_whom", "how", "proof")}
