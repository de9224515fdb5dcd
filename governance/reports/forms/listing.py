"""What the list of reports is narrowed to."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, offer
from governance.papers.countries import country_name
from governance.reports.models import ReportKind
from governance.reports.queries.listing import SORTS, STATE_WORDS, Wanted, countries_told, years_told


class ReportFilterForm(Form):
    """Narrows the list of reports."""

    q = forms.CharField(label=_("Words"), required=False, max_length=200)
    q.widget.attrs["placeholder"] = _("Number, paper, owner, addressee")
    kind = forms.ChoiceField(label=_("Kind"), required=False, choices=[("", _("All")), *ReportKind.choices])
    state = forms.ChoiceField(label=_("State"), required=False, choices=[("", _("All")), *STATE_WORDS.items()])
    country = forms.ChoiceField(label=_("Country"), required=False)
    year = forms.ChoiceField(label=_("Year"), required=False)
    sort = forms.ChoiceField(
        required=False, widget=forms.HiddenInput, choices=[(key, key) for name in SORTS for key in (name, f"-{name}")]
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        offer(self.fields["country"], [("", _("All")), *((code, country_name(code)) for code in countries_told())])
        offer(self.fields["year"], [("", _("All")), *((str(year), str(year)) for year in years_told())])

    def wanted(self) -> Wanted:
        """The filter that was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        return Wanted(**{name: value for name, value in self.cleaned_data.items() if value})
