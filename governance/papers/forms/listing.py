"""What a person narrows the list of papers to."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.engine.tables import Layer
from governance.papers.countries import country_name
from governance.papers.models import LAYER_NAMES, PaperKind
from governance.papers.queries.listing import SORTS, Wanted, jurisdictions

STATE_NAMES = [
    ("", _("Any")),
    ("in-force", _("In force")),
    ("ending", _("Ends within ... days")),
    ("ended", _("Ended")),
    ("suspended", _("Suspended or between versions")),
    ("not-yet", _("Not yet in force")),
    ("unread", _("Not read yet")),
    ("not-given", _("Applied for or refused")),
]
TERMS_NAMES = [
    ("", _("Any")),
    ("read", _("Read")),
    ("partly", _("Partly read")),
    ("not-read", _("Not read yet")),
]
WITHIN_DAYS = 60
_MOST_DAYS = 3660


class PaperFilterForm(Form):
    """The filter above the list; what makes no sense is left out, never an error page."""

    q = forms.CharField(label=_("Number, authority, holder"), required=False, max_length=100)
    layer = forms.ChoiceField(
        label=_("Layer"), required=False, choices=[("", _("Any")), *((x.code, LAYER_NAMES[x]) for x in Layer)]
    )
    kind = forms.ChoiceField(label=_("Kind"), required=False, choices=[("", _("Any")), *PaperKind.choices])
    country = forms.ChoiceField(label=_("Country"), required=False)
    state = forms.ChoiceField(label=_("State"), required=False, choices=STATE_NAMES)
    within = forms.IntegerField(
        label=_("How many days"), required=False, min_value=0, max_value=_MOST_DAYS,
        widget=forms.NumberInput(attrs={"placeholder": WITHIN_DAYS}),
    )  # fmt: skip
    terms = forms.ChoiceField(label=_("Terms of use"), required=False, choices=TERMS_NAMES)
    on = forms.DateField(label=_("On the day"), required=False)
    sort = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Any, today: date, reader: Any) -> None:
        super().__init__(data)
        self.today = today
        countries = [(code, country_name(code)) for code in jurisdictions(reader)]
        self.fields["country"].choices = [("", _("Any")), *sorted(countries, key=lambda c: c[1])]  # type: ignore[attr-defined]

    def wanted(self) -> Wanted:
        """What of it makes sense."""
        self.is_valid()
        told = self.cleaned_data
        layer, sort, within = told.get("layer"), told.get("sort") or "", told.get("within")
        return Wanted(
            on=told.get("on") or self.today,
            text=told.get("q") or "",
            layer=Layer.from_code(layer) if layer else None,
            kind=told.get("kind") or "",
            jurisdiction=told.get("country") or "",
            state=told.get("state") or "",
            within_days=WITHIN_DAYS if within is None else within,
            terms=told.get("terms") or "",
            sort=sort if sort.removeprefix("-") in SORTS else "reference",
        )
