"""What people type of accessions, parts and deliveries."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.validators import MinValueValidator
from django.utils.translation import gettext_lazy as _

from accessions.material.hints import said_hint
from accessions.material.models import Accession, Delivery, Part
from accessions.material.queries.accessions import AccessionFilter, years_received
from accessions.material.queries.specimens import EventGroup, NumberRangeError, number_range
from accessions.people.entry_forms import Form, RecordForm, offer
from accessions.values import read_event_date

VERDICT_CHOICES = [
    ("", _("Any")), ("0", _("Covered")), ("1", _("Not required")), ("2", _("Cannot tell")), ("3", _("Straddles")),
    ("4", _("Outside terms")), ("5", _("No paper on file")),
]  # fmt: skip
"""The verdicts by their numbers, best first (VERDICTS, section 1)."""


class AccessionFilterForm(Form):
    """Narrows the list of accessions."""

    q = forms.CharField(label=_("Number, title or source"), required=False)
    kind = forms.ChoiceField(label=_("Kind"), required=False, choices=[("", _("All")), *Accession.Kind.choices])
    year = forms.ChoiceField(label=_("Received in"), required=False)
    verdict = forms.ChoiceField(label=_("Holds a specimen"), required=False, choices=VERDICT_CHOICES)
    quarantine = forms.BooleanField(label=_("Not released from quarantine"), required=False)
    sort = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        offer(self.fields["year"], [("", _("All years")), *((str(year), str(year)) for year in years_received())])

    def narrowed(self) -> AccessionFilter:
        """The filter that was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        return AccessionFilter(**{name: value for name, value in self.cleaned_data.items() if value})


class AccessionForm(RecordForm):
    """An accession."""

    class Meta:
        model = Accession
        fields = (
            "number", "title", "kind", "source", "received_on", "accessioned_on", "total", "total_kind", "description",
        )  # fmt: skip


class PartForm(RecordForm):
    """A part of an accession."""

    class Meta:
        model = Part
        fields = ("letter", "title")


class DeliveryForm(RecordForm):
    """A delivery and its way."""

    class Meta:
        model = Delivery
        fields = (
            "number", "received_on", "exported_on", "imported_on", "transferred_on", "quarantine_in_on",
            "quarantine_out_on", "treatment", "remarks",
        )  # fmt: skip

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["number"].widget.attrs["min"] = 1
        self.fields["number"].validators.append(MinValueValidator(1, _("Deliveries of an accession count from 1.")))
        if self.instance.entry_number:  # its quarantine is recorded on the page of its arrival, where the gate is
            for name in ("quarantine_in_on", "quarantine_out_on", "treatment"):
                del self.fields[name]
        for name in ("exported_on", "imported_on", "transferred_on"):
            self.fields[name].help_text = _("As the paper has it: 2024-06-28, or 2024-06, or 2024-06-28/2024-06-30")

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        for name in ("exported_on", "imported_on", "transferred_on"):
            written = cleaned.get(name, "")
            read = read_event_date(written) if written else None
            if read is not None and read.reading not in ("run", "vague"):
                message = _("“%(found)s” cannot be read as a date: %(hint)s. Write it as YYYY-MM-DD.")
                self.add_error(name, message % {"found": written, "hint": said_hint(read.hint)})
        return cleaned


class MoveForm(Form):
    """Which specimens go into which part: those of some events, or a range of numbers."""

    target = forms.ChoiceField(label=_("Into"))
    events = forms.MultipleChoiceField(
        label=_("Specimens of these events"), required=False, widget=forms.CheckboxSelectMultiple
    )
    first = forms.CharField(label=_("Or numbers from"), required=False, max_length=200)
    last = forms.CharField(label=_("to"), required=False, max_length=200)
    why = forms.CharField(label=_("Reason"), max_length=100, help_text=_("Kept in the history with your name"))

    def __init__(self, *args: Any, parts: list[Part], events: list[EventGroup], **more: Any) -> None:
        super().__init__(*args, **more)
        into = [(str(part.pk), f"{part.letter} {part.title}".strip()) for part in parts]
        offer(self.fields["target"], [*into, ("0", _("No part"))])
        offer(self.fields["events"], [(_joined(event), _event_label(event)) for event in events])

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        first, last = cleaned.get("first", ""), cleaned.get("last", "")
        if not cleaned.get("events") and not (first or last):
            raise forms.ValidationError(_("Choose events, or give a first and a last number."))
        cleaned["event_keys"] = [int(key) for joined in cleaned.get("events", ()) for key in joined.split("-")]
        if first or last:
            cleaned["range"] = self._range(first, last or first)
        return cleaned

    def _range(self, first: str, last: str) -> Any:
        try:
            return number_range(first, last)
        except NumberRangeError as error:
            self.add_error("last", _RANGE_WORDS[str(error)])
            return None


_RANGE_WORDS = {
    "no-digits": _("Both numbers need digits that count up, such as LMN-FW-0001 to LMN-FW-0250."),
    "differ": _("The two numbers begin or end differently. They may differ in the digits alone."),
    "order": _("The last number is below the first."),
}


def _joined(event: EventGroup) -> str:
    return "-".join(map(str, event.keys))


def _event_label(event: EventGroup) -> str:
    words = ", ".join(part for part in (event.number, event.when, event.where) if part)
    return f"{words or _('Event without words')} ({event.specimens})"
