"""What the list of uses, and the specimens of one use, are narrowed to."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, offer
from governance.papers.countries import country_name
from governance.usedesk.models import MadeUse
from governance.usedesk.queries.made import (
    SHOWS,
    SORTS,
    Wanted,
    countries_of_uses,
    recipients_of_uses,
    years_of_uses,
)


class UseFilterForm(Form):
    """Narrows the list of uses."""

    q = forms.CharField(label=_("Words"), required=False, max_length=200)
    q.widget.attrs["placeholder"] = _("Number, title, DOI, recipient, specimen")
    show = forms.ChoiceField(label=_("Show"), required=False, choices=list(SHOWS.items()))
    deed = forms.ChoiceField(label=_("What was done"), required=False, choices=[("", _("All")), *MadeUse.Deed.choices])
    recipient = forms.ChoiceField(label=_("By or to"), required=False)
    country = forms.ChoiceField(label=_("Country"), required=False)
    year = forms.ChoiceField(label=_("Year"), required=False)
    sort = forms.ChoiceField(
        required=False, widget=forms.HiddenInput, choices=[(key, key) for name in SORTS for key in (name, f"-{name}")]
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        offer(self.fields["recipient"], [("", _("Anybody")), *((str(pk), name) for pk, name in recipients_of_uses())])
        offer(self.fields["country"], [("", _("Any")), *((code, country_name(code)) for code in countries_of_uses())])
        offer(self.fields["year"], [("", _("All")), *((str(year), str(year)) for year in years_of_uses())])

    def wanted(self) -> Wanted:
        """The filter that was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        return Wanted(**{name: value for name, value in self.cleaned_data.items() if value})


ITEM_SHOWS = [
    ("", _("All")), ("out", _("Still out")), ("back", _("Back")), ("outside", _("Not within the terms as known")),
    ("open", _("Not shown to be within the terms")),
]  # fmt: skip


class ItemFilterForm(Form):
    """Narrows the specimens of one use."""

    q = forms.CharField(label=_("Number or name"), required=False, max_length=200)
    of = forms.ChoiceField(label=_("Show"), required=False, choices=ITEM_SHOWS)

    def __init__(self, *args: Any, is_loan: bool, **more: Any) -> None:
        super().__init__(*args, **more)
        if not is_loan:
            offer(self.fields["of"], [one for one in ITEM_SHOWS if one[0] not in ("out", "back")])

    def asked(self) -> tuple[str, str]:
        """The words, and what to show."""
        self.is_valid()
        return self.cleaned_data.get("q", ""), self.cleaned_data.get("of", "")
