"""What people type of a way home."""

from __future__ import annotations

from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, why_field
from accessions.values import read_event_date
from governance.papers.countries import country_words
from governance.papers.forms.countries import CountryField
from governance.plans.models import Consignment

DAYS: Final = {
    "exported_on": _("Leaves the country on"), "imported_on": _("Arrives on"),
    "transferred_on": _("Changes hands on"),
}  # fmt: skip


class WayHomeForm(Form):
    """A way home. Days that cannot be read are kept as they are written; ``notes`` say so."""

    from_country = CountryField(label=_("Export from"))
    to_country = CountryField(label=_("Import to"))
    exported_on = forms.CharField(label=DAYS["exported_on"], required=False, max_length=200)
    imported_on = forms.CharField(label=DAYS["imported_on"], required=False, max_length=200)
    transferred_on = forms.CharField(label=DAYS["transferred_on"], required=False, max_length=200)
    carrier = forms.CharField(
        label=_("Carrier"), required=False, max_length=200, help_text=_("Post, courier, air freight, hand baggage")
    )
    cites = forms.ChoiceField(label=_("Species listed by CITES"), required=False, choices=Consignment.Cites.choices)
    why = why_field(required=False)
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, home: Consignment | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        for name in DAYS:
            self.fields[name].help_text = _("Such as 2027-06-28, or 2027-06")
        if home is None:
            self.fields["why"].widget = forms.HiddenInput()

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        if not any(value for name, value in told.items() if name not in ("why", "seen")) and not self.errors:
            raise ValidationError(_t("Write at least one of these: a country, a day, a carrier."))
        return told

    def values(self) -> dict[str, Any]:
        """The fields of the way home."""
        return {name: value for name, value in self.cleaned_data.items() if name not in ("why", "seen")}

    @property
    def notes(self) -> list[str]:
        """What is odd about the days, gently: they are kept, and cannot be checked as they are."""
        values = self.cleaned_data if self.is_bound and self.is_valid() else self.initial
        return [note for name in DAYS if (note := day_note(str(DAYS[name]), str(values.get(name) or "")))]


def day_note(label: str, written: str) -> str:
    """What a day of the way home is not, "" where it can be read."""
    read = read_event_date(written)
    if read.reading in ("run", "vague", "missing"):
        return ""
    return _t(
        "%(label)s “%(found)s”: %(hint)s. It is kept as written, and the layers of that day cannot be told until it "
        "reads like 2027-06-28."
    ) % {"label": label, "found": written, "hint": read.hint or _t("it is no date that can be read")}


def home_initial(home: Consignment) -> dict[str, Any]:
    """A way home as the form shows it."""
    names = ("exported_on", "imported_on", "transferred_on", "carrier", "cites")
    countries = {name: country_words(getattr(home, name)) for name in ("from_country", "to_country")}
    return {name: getattr(home, name) for name in names} | countries
