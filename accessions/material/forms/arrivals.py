"""What people type on the way of a delivery from its arrival to an accession number."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Accession, Delivery
from accessions.material.quarantine_regimes import NONE, OWN, REGIMES, WAIVERS, regime
from accessions.material.queries.arrivals import ArrivalFilter, Stand, next_entry_number
from accessions.people.entry_forms import Form, RecordForm, why_field

MOST_BOXES = 500
"""A label is printed for each box."""

STAND_CHOICES = [
    ("", _("All that wait")), (Stand.QUARANTINE, _("Quarantine not recorded")),
    (Stand.HOURS, _("In quarantine, hours not over")), (Stand.RELEASE, _("Ready for release")),
    (Stand.ACCESSION, _("Without an accession number")), (Stand.DONE, _("Through: released and numbered")),
]  # fmt: skip


class ArrivalFilterForm(Form):
    """Narrows the list of arrivals."""

    q = forms.CharField(label=_("Entry number, contents or people"), required=False)
    stand = forms.ChoiceField(label=_("Stands at"), required=False, choices=STAND_CHOICES)
    sort = forms.CharField(required=False, widget=forms.HiddenInput)

    def narrowed(self) -> ArrivalFilter:
        """The filter that was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        return ArrivalFilter(**{name: value for name, value in self.cleaned_data.items() if value})


class ReceiptForm(RecordForm):
    """The receipt: what came in, with whom, when."""

    class Meta:
        model = Delivery
        fields = (
            "received_on", "received_by", "brought_by", "sender", "contents", "boxes", "entry_number", "remarks",
        )  # fmt: skip

    def __init__(self, *args: Any, today: date, **more: Any) -> None:
        super().__init__(*args, **more)
        for name in ("received_on", "received_by", "contents", "boxes"):
            self.fields[name].required = True
        self.fields["entry_number"].required = not self.is_new
        self.fields["boxes"].validators += [MinValueValidator(1), MaxValueValidator(MOST_BOXES)]
        self.fields["contents"].help_text = _("What is in the boxes, as far as can be seen")
        self.fields["sender"].help_text = _("Whose material it was: an agent of the register, or blank")
        if self.is_new:
            self.fields["entry_number"].help_text = _("Blank: the next free number, as it stands here")
            self.fields["entry_number"].widget.attrs["placeholder"] = next_entry_number(today)

    def clean_entry_number(self) -> str:
        """Once in the register; else the person learns it with the other mistakes."""
        number: str = self.cleaned_data["entry_number"].strip()
        if number and Delivery.objects.filter(entry_number=number).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError(_("Another delivery has this entry number."))
        return number


class QuarantineForm(Form):
    """Into which quarantine it went: a published regime, one of the house, or none for a reason."""

    regime = forms.ChoiceField(
        label=_("Treatment"), widget=forms.RadioSelect,
        choices=[
            *((one.key, one.words) for one in REGIMES), (OWN, _("Another treatment")),
            (NONE, _("None needed, for a reason")),
        ],
    )  # fmt: skip
    quarantine_in_on = forms.DateField(label=_("Into quarantine on"), required=False)
    quarantine_by = forms.CharField(label=_("Put in by"), required=False, max_length=200)
    treatment_degrees_c = forms.FloatField(
        label=_("Temperature (°C)"), required=False, min_value=-273, max_value=100,
        help_text=_("Blank: as the treatment says"),
    )  # fmt: skip
    treatment_hours = forms.IntegerField(
        label=_("Hours"), required=False, min_value=1, max_value=10000, help_text=_("Blank: as the treatment says")
    )
    treatment = forms.CharField(
        label=_("Words for another treatment"), required=False, max_length=200,
        help_text=_("Such as: nitrogen for four weeks"),
    )  # fmt: skip
    quarantine_waived = forms.CharField(label=_("No quarantine because"), required=False, max_length=200)

    def __init__(self, *args: Any, delivery: Delivery, **more: Any) -> None:
        super().__init__(*args, initial=_recorded(delivery) | more.pop("initial", {}), **more)
        if delivery.quarantine_in_on or delivery.quarantine_waived:
            self.fields["why"] = why_field(required=True)
            self.fields["why"].widget.attrs["class"] = "in"
        self.fields["quarantine_waived"].help_text = _("Such as: %(reason)s") % {"reason": WAIVERS[0]}
        self.fields["quarantine_waived"].widget.attrs["list"] = "waivers"

    @property
    def why(self) -> str:
        return self.cleaned_data.get("why") or str(_("put into quarantine"))

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        chosen = cleaned.get("regime", "")
        if chosen == NONE and not cleaned.get("quarantine_waived"):
            self.add_error("quarantine_waived", _("Write why it needs no quarantine, such as: it is in ethanol."))
        if chosen and chosen != NONE:
            self._needs(cleaned, chosen)
        return cleaned

    def _needs(self, cleaned: dict[str, Any], chosen: str) -> None:
        if not cleaned.get("quarantine_in_on") and "quarantine_in_on" not in self.errors:
            self.add_error("quarantine_in_on", _("Write the day on which it went in."))
        if chosen != OWN:
            return
        if not cleaned.get("treatment"):
            self.add_error("treatment", _("Say in words what was done."))
        if cleaned.get("treatment_hours") is None and "treatment_hours" not in self.errors:
            self.add_error("treatment_hours", _("Write the hours: the release waits for them."))

    def values(self) -> dict[str, Any]:
        """What is written of the quarantine; what belongs to the other way is blank."""
        read, chosen = self.cleaned_data, regime(self.cleaned_data["regime"])
        if read["regime"] == NONE:
            return _NOTHING | {"quarantine_waived": read["quarantine_waived"]}
        degrees, hours = read["treatment_degrees_c"], read["treatment_hours"]
        if chosen is not None:
            degrees = chosen.degrees_c if degrees is None else degrees
            hours = chosen.hours if hours is None else hours
        return {
            "quarantine_in_on": read["quarantine_in_on"], "quarantine_by": read["quarantine_by"],
            "treatment": str(chosen.words) if chosen else read["treatment"], "treatment_degrees_c": degrees,
            "treatment_hours": hours, "quarantine_waived": "",
        }  # fmt: skip


_NOTHING: dict[str, Any] = {
    "quarantine_in_on": None, "quarantine_by": "", "treatment": "", "treatment_degrees_c": None,
    "treatment_hours": None,
}  # fmt: skip


def _recorded(delivery: Delivery) -> dict[str, Any]:
    """What stands of the quarantine, as the form shows it."""
    fields = (*_NOTHING, "quarantine_waived")
    values = {name: getattr(delivery, name) for name in fields if getattr(delivery, name) not in ("", None)}
    degrees = delivery.treatment_degrees_c
    if degrees is not None:
        values["treatment_degrees_c"] = f"{degrees:g}"
    if delivery.quarantine_waived:
        values["regime"] = NONE
    elif delivery.quarantine_in_on:
        known = next((one.key for one in REGIMES if str(one.words) == delivery.treatment), OWN)
        values["regime"] = known
        if known != OWN:
            values.pop("treatment", None)
    return values


class ReleaseForm(Form):
    """Out of quarantine, to the collection."""

    out_on = forms.DateField(label=_("Out of quarantine on"))
    note = forms.CharField(
        label=_("Note"), required=False, max_length=100, help_text=_("Kept in the history with your name")
    )

    def __init__(self, *args: Any, delivery: Delivery, **more: Any) -> None:
        super().__init__(*args, **more)
        if delivery.quarantine_in_on is None:
            self.fields["out_on"].required = False
            self.fields["out_on"].widget = forms.HiddenInput()

    @property
    def why(self) -> str:
        return self.cleaned_data.get("note") or str(_("released from quarantine"))


class TakeReleaseBackForm(Form):
    """Why a release was a mistake."""

    why = forms.CharField(label=_("Reason"), max_length=100, help_text=_("Kept in the history with your name"))


class JoinForm(Form):
    """An accession that is there, of which this is the next delivery."""

    number = forms.CharField(
        label=_("Accession number"),
        max_length=100,
        help_text=_("A field season may arrive in several deliveries"),
        widget=forms.TextInput(attrs={"list": "accession-numbers", "autocomplete": "off"}),
    )

    accession: Accession

    def clean_number(self) -> str:
        number: str = self.cleaned_data["number"].strip()
        found = Accession.objects.filter(number=number).first()
        if found is None:
            message = _("No accession has the number “%(number)s”. Write it as the list of accessions has it.")
            raise forms.ValidationError(message % {"number": number})
        self.accession = found
        return number
