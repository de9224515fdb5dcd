"""What the list of duties is narrowed to."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, offer
from governance.duties.models import Duty, DutyKind
from governance.duties.queries.listing import MINE, NOBODY, SORTS, Wanted, countries, people
from governance.duties.words import STATES
from governance.papers.countries import country_name
from governance.papers.models import Paper


class MonthField(forms.DateField):
    """A month as "2027-01"; its first day."""

    input_formats = ("%Y-%m",)


class DutyFilterForm(Form):
    """Narrows the list of duties."""

    q = forms.CharField(label=_("Words"), required=False, max_length=200)
    q.widget.attrs["placeholder"] = _("What, to whom, paper")
    kind = forms.ChoiceField(label=_("What is to be done"), required=False, choices=[("", _("All")), *DutyKind.choices])
    who = forms.ChoiceField(label=_("Who sees to it"), required=False)
    country = forms.ChoiceField(label=_("Country"), required=False)
    paper = forms.ModelChoiceField(
        Paper.objects.filter(pk__in=Duty.objects.order_by().values("paper")).only("reference"),
        label=_("Paper"), required=False, empty_label=_("All"),
    )  # fmt: skip
    state = forms.ChoiceField(
        required=False, widget=forms.HiddenInput, choices=[("all", "all"), *((one.value, one.value) for one in STATES)]
    )
    on = forms.DateField(required=False)
    month = MonthField(required=False)
    sort = forms.ChoiceField(
        required=False, widget=forms.HiddenInput, choices=[(key, key) for name in SORTS for key in (name, f"-{name}")]
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for name in ("on", "month"):
            self.fields[name].widget = forms.HiddenInput()
        offer(self.fields["who"], [
            ("", _("Anybody")), (MINE, _("I do")), (NOBODY, _("Nobody")), *((str(pk), name) for pk, name in people()),
        ])  # fmt: skip
        offer(self.fields["country"], [("", _("Any")), *((code, country_name(code)) for code in countries())])

    def wanted(self) -> Wanted:
        """The filter that was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        told = {name: value for name, value in self.cleaned_data.items() if value}
        if "paper" in told:
            told["paper"] = str(told["paper"].pk)
        return Wanted(**told)
