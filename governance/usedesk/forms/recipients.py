"""What people type of a recipient."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, RecordForm
from governance.papers.forms.countries import CountryField
from governance.papers.models import RECIPIENT_NAMES
from governance.usedesk.models import Recipient

KINDS = [("", _("Not known")), *((int(kind), name) for kind, name in RECIPIENT_NAMES.items())]

REGISTER_HINT = _("Blank: not registered, or not looked up")


def not_to_come(day: Any) -> None:
    """Refuses a day that lies ahead."""
    if day is not None and day > timezone.localdate():
        raise ValidationError(_t("%(day)s is still to come.") % {"day": day})


class RecipientForm(RecordForm):
    """A recipient on a page of its own."""

    country = CountryField(label=_("Country"))

    class Meta:
        model = Recipient
        fields = ("name", "kind", "country", "cites_code", "cites_checked_on", "address", "contact", "agent", "remarks")

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["kind"].choices = KINDS  # type: ignore[attr-defined]
        self.fields["kind"].help_text = _("Clauses may ask for it: a paper may allow loans to public institutions only")
        self.fields["cites_code"].help_text = REGISTER_HINT
        self.fields["cites_checked_on"].help_text = _("When somebody looked it up in the register, found or not")
        self.fields["cites_checked_on"].validators.append(not_to_come)
        self.fields["agent"].label = _("On file as agent")
        for name in ("address", "contact", "remarks"):
            self.fields[name].widget.attrs["lines"] = 2

    def clean_cites_code(self) -> str:
        """As the register writes it: in capitals, without blanks at the ends."""
        return " ".join(str(self.cleaned_data["cites_code"]).upper().split())


class RecipientFilterForm(Form):
    """Narrows the list of recipients."""

    q = forms.CharField(label=_("Words"), required=False, max_length=200)
    q.widget.attrs["placeholder"] = _("Name, address, number in the register")
    kind = forms.ChoiceField(label=_("Kind"), required=False, choices=[("", _("All")), *KINDS[1:]])
    sort = forms.ChoiceField(
        required=False, widget=forms.HiddenInput,
        choices=[(key, key) for name in ("name", "country", "requests") for key in (name, f"-{name}")],
    )  # fmt: skip

    def told(self) -> dict[str, str]:
        """What was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}
