"""A plan turned into an accession, or held against one that is there."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Accession
from accessions.people.entry_forms import Form, offer
from accessions.people.history import WHY_LENGTH
from governance.plans.queries.turning import Turning, accessions_without_plan


class TurnForm(Form):
    """The accession, the stops that were visited, the ways home that went as planned. seen: version of the page."""

    number = forms.CharField(
        label=_("Accession number"), max_length=100, help_text=_("The next free one is offered; write your own"),
        error_messages={"required": _("Give the accession a number.")},
    )  # fmt: skip
    title = forms.CharField(label=_("Title"), max_length=200, required=False)
    received_on = forms.DateField(label=_("Received on"), required=False, help_text=_("Blank: not received yet"))
    why = forms.CharField(
        label=_("Reason"), max_length=WHY_LENGTH, help_text=_("Kept in the history with your name"),
        error_messages={"required": _("Say why, such as “back from the field”.")},
    )  # fmt: skip
    stops = forms.MultipleChoiceField(
        label=_("Stops that were visited"), widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Keep at least one stop: the parts of the accession are the stops visited.")},
    )  # fmt: skip
    homes = forms.MultipleChoiceField(
        label=_("Went home on the planned days"), required=False, widget=forms.CheckboxSelectMultiple
    )
    with_events = forms.BooleanField(label=_("Write the planned events too"), required=False)
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, whole: Turning, **more: Any) -> None:
        super().__init__(*args, **more)
        offer(self.fields["stops"], [(str(one.stop.pk), one.stop.name) for one in whole.stops])
        offer(self.fields["homes"], [(str(home.pk), str(home)) for home in whole.homes])

    def clean_number(self) -> str:
        number: str = self.cleaned_data["number"].strip()
        if Accession.objects.filter(number=number).exists():
            raise ValidationError(
                _("“%(number)s” is the number of another accession. Write a free one, or hold the plan against it."),
                params={"number": number},
            )
        return number

    def chosen(self, name: str) -> set[int]:
        """Keys that were ticked, whether or not the rest of the form can be saved."""
        known = {key for key, _label in self.fields[name].choices}  # type: ignore[attr-defined]
        return {int(key) for key in self.data.getlist(name) if key in known}  # type: ignore[attr-defined]

    def only_looked_at(self, whole: Turning) -> TurnForm:
        """The same with what was typed and nothing marked as a mistake: nothing was to be saved yet."""
        return TurnForm(whole=whole, initial={name: self[name].value() for name in self.fields})

    @property
    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        told = self.cleaned_data
        return {name: told[name] for name in ("number", "title", "received_on", "why", "seen", "with_events")} | {
            "take_stops": {int(key) for key in told["stops"]},
            "homes_as_planned": {int(key) for key in told["homes"]},
        }


class JoinForm(Form):
    """An accession that was entered by hand, by its number."""

    accession = forms.CharField(
        label=_("Accession"), max_length=100,
        widget=forms.TextInput(attrs={"list": "accessions", "autocomplete": "off"}),
        error_messages={"required": _("Write the number of the accession.")},
    )  # fmt: skip
    why = forms.CharField(
        label=_("Reason"), max_length=WHY_LENGTH, help_text=_("Kept in the history with your name"),
        error_messages={"required": _("Say why, such as “entered by hand when it came in”.")},
    )  # fmt: skip
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)

    prefix = "join"

    def clean_accession(self) -> Accession:
        number = self.cleaned_data["accession"].strip()
        found = accessions_without_plan().filter(number=number).first()
        if found is not None:
            return found
        taken = Accession.objects.filter(number=number).select_related("field_plan").first()
        if taken is None:
            raise ValidationError(_("No accession has the number “%(number)s”."), params={"number": number})
        raise ValidationError(
            _("%(number)s is held against the plan %(plan)s already."),
            params={"number": number, "plan": taken.field_plan.reference},
        )


class LeaveForm(Form):
    """Why a plan is no longer held against its accession."""

    why = forms.CharField(
        label=_("Reason"), max_length=WHY_LENGTH, help_text=_("Kept in the history with your name"),
        error_messages={"required": _("Say why, such as “the wrong accession was chosen”.")},
    )  # fmt: skip
