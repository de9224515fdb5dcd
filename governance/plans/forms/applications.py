"""What is typed of an application, its steps and its paper. The actions check what it would do."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, offer, why_field
from accessions.people.models import User
from governance.engine.tables import Layer
from governance.papers.countries import country_name
from governance.papers.forms.face import FaceForm
from governance.papers.models import LAYER_NAMES, Paper, PaperKind
from governance.papers.restriction import is_readable, restricted_words
from governance.plans.models import Application, Stop
from governance.plans.queries.applications import SORTS, Wanted, countries_of_plans, people_asking, planners

LAYER_CHOICES = [(layer.code, LAYER_NAMES[layer]) for layer in Layer]


class ApplicationForm(Form):
    """What is asked for, of whom, by whom, and for which stops. application: the one that is corrected."""

    layer = forms.ChoiceField(label=_("Layer"), choices=[("", _("Choose")), *LAYER_CHOICES])
    kind = forms.ChoiceField(label=_("Kind of paper"), choices=[("", _("Choose")), *PaperKind.choices])
    authority = forms.CharField(
        label=_("Ask"), required=False, max_length=300, help_text=_("Authority, owner or community")
    )
    start_by = forms.DateField(
        label=_("Start by"), required=False, help_text=_("The last day to ask, so that the answer comes in time")
    )
    assignee = forms.TypedChoiceField(label=_("Who asks"), required=False, coerce=int, empty_value=None)
    number = forms.CharField(
        label=_("Their number"), required=False, max_length=100, help_text=_("The authority’s file number")
    )
    contact = forms.CharField(label=_("Contact"), required=False, widget=forms.Textarea(attrs={"lines": 3}))
    note = forms.CharField(label=_("Note"), required=False, widget=forms.Textarea(attrs={"lines": 3}))
    stops = forms.TypedMultipleChoiceField(
        label=_("For these stops"), required=False, coerce=int, widget=forms.CheckboxSelectMultiple,
        help_text=_("None ticked: for all stops of the plan, also those that are added later"),
    )  # fmt: skip

    def __init__(self, *args: Any, stops: Sequence[Stop], application: Application | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        self.people = {user.pk: user for user in planners(application.assignee if application else None)}
        offer(
            self.fields["assignee"],
            [("", _("Nobody yet")), *((str(pk), u.shown_name) for pk, u in self.people.items())],
        )
        offer(self.fields["stops"], [(str(stop.pk), f"{number}. {stop.name}") for number, stop in enumerate(stops, 1)])
        self.is_granted = application is not None and application.state == Application.State.GRANTED
        for name in ("layer", "kind", "stops", "start_by") if self.is_granted else ():
            del self.fields[name]
        if not stops and "stops" in self.fields:
            del self.fields["stops"]
        if application is not None:
            self.fields["why"] = why_field(required=True)
            self.fields["why"].widget.attrs["class"] = "in"

    def values(self) -> dict[str, Any]:
        """What the action writes."""
        told = {name: value for name, value in self.cleaned_data.items() if name not in ("stops", "why")}
        if "layer" in told:
            told["layer"] = int(Layer.from_code(told["layer"]))
        told["assignee"] = self.people.get(told["assignee"])
        return told

    def stops_chosen(self) -> list[int] | None:
        """Keys of stops; None: as they are."""
        return list(self.cleaned_data["stops"]) if "stops" in self.fields else ([] if not self.is_granted else None)


def application_initial(application: Application) -> dict[str, Any]:
    """An application as the form shows it."""
    names = ("kind", "authority", "contact", "assignee_id", "number", "start_by", "note")
    values = {name.removesuffix("_id"): getattr(application, name) for name in names}
    stops = [one.stop_id for one in application.application_stops.all()]
    return values | {"layer": Layer(application.layer).code, "stops": stops}


def day_field(label: Any, hint: Any = "") -> forms.DateField:
    """The day of a step."""
    return forms.DateField(label=label, help_text=hint)


class AskForm(Form):
    """It was asked for."""

    asked_on = day_field(_("Asked on"))
    assignee = forms.TypedChoiceField(label=_("Who asked"), coerce=int)
    number = forms.CharField(
        label=_("Their number"), required=False, max_length=100,
        help_text=_("The authority’s file number; blank: not known yet"),
    )  # fmt: skip

    def __init__(self, *args: Any, application: Application, person: User, **more: Any) -> None:
        super().__init__(*args, **more)
        self.people = {user.pk: user for user in planners(application.assignee)}
        offer(self.fields["assignee"], [(str(pk), user.shown_name) for pk, user in self.people.items()])
        self.fields["assignee"].initial = application.assignee_id or person.pk
        self.fields["number"].initial = application.number

    def told(self) -> dict[str, Any]:
        """What the action takes."""
        told = self.cleaned_data
        return {"on": told["asked_on"], "number": told["number"], "assignee": self.people[told["assignee"]]}


class PromiseForm(Form):
    """An answer was promised."""

    promised_on = day_field(_("Promised for"), _("The day by which they said they would answer"))

    def told(self) -> dict[str, Any]:
        """What the action takes."""
        return {"on": self.cleaned_data["promised_on"]}


class RefuseForm(Form):
    """It was refused."""

    refused_on = day_field(_("Refused on"))
    note = forms.CharField(
        label=_("What they said"), widget=forms.Textarea(attrs={"lines": 3}),
        help_text=_("Kept in the note of the application"),
    )  # fmt: skip

    def told(self) -> dict[str, Any]:
        """What the action takes."""
        return {"on": self.cleaned_data["refused_on"], "note": self.cleaned_data["note"]}


class GiveUpForm(Form):
    """It is no longer pursued."""

    dropped_on = day_field(_("Given up on"))
    why = why_field(required=True)

    def told(self) -> dict[str, Any]:
        """What the action takes."""
        return {"on": self.cleaned_data["dropped_on"], "why": self.cleaned_data["why"]}


class UndoForm(Form):
    """Why a step is taken back, and in which state the person saw the application."""

    why = why_field(required=True)
    state = forms.CharField(required=False, widget=forms.HiddenInput)


class TakeScanOffForm(Form):
    """Why a file no longer belongs to an application."""

    why = why_field(required=True)


class OnFileForm(Form):
    """What was granted is a paper that is on file."""

    granted_on = day_field(_("Granted on"))
    paper = forms.CharField(
        label=_("Reference"), max_length=100, help_text=_("The number on the paper"),
        widget=forms.TextInput(attrs={"list": "papers-known", "autocomplete": "off"}),
    )  # fmt: skip

    def __init__(self, *args: Any, reader: User, **more: Any) -> None:
        super().__init__(*args, **more)
        self.reader = reader

    def clean_paper(self) -> Paper:
        """The paper of this reference, if the person may read it."""
        number = self.cleaned_data["paper"].strip()
        paper = Paper.objects.filter(reference=number).first()
        if paper is None:
            words = _t("The register has no paper %(number)s. Check the reference, or register it here.")
            raise ValidationError(words % {"number": number})
        if not is_readable(paper, self.reader):
            raise ValidationError(f"{paper}: {restricted_words(paper.restricted_to)}")
        return paper


class NewPaperForm(FaceForm):
    """What was granted, registered now: its face alone."""

    granted_on = day_field(_("Granted on"))


def face_of(application: Application, country: str, today: date) -> dict[str, Any]:
    """What the face of the new paper starts with."""
    return {
        "kind": application.kind, "layers": [Layer(application.layer).code], "issuer": application.authority,
        "jurisdiction": f"{country_name(country)} ({country})" if country else "", "granted_on": today,
    }  # fmt: skip


STATE_CHOICES = [("open", _("Without an answer")), ("any", _("Any")), *Application.State.choices]


class ApplicationFilterForm(Form):
    """The filter above the list; what makes no sense is left out, never an error page."""

    state = forms.ChoiceField(label=_("State"), required=False, choices=STATE_CHOICES)
    person = forms.ChoiceField(label=_("Who asks"), required=False)
    layer = forms.ChoiceField(label=_("Layer"), required=False, choices=[("", _("Any")), *LAYER_CHOICES])
    country = forms.ChoiceField(label=_("Country of the stops"), required=False)
    late = forms.BooleanField(label=_("Only where the day has passed"), required=False)
    sort = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Any) -> None:
        super().__init__(data)
        people = [(str(user.pk), user.shown_name) for user in people_asking()]
        offer(self.fields["person"], [("", _("Anybody")), *people, ("0", _("Nobody yet"))])
        codes = sorted(countries_of_plans(), key=country_name)
        offer(self.fields["country"], [("", _("Any")), *((code, country_name(code)) for code in codes)])

    def wanted(self) -> Wanted:
        """What of it makes sense."""
        self.is_valid()
        told = self.cleaned_data
        layer, sort, person = told.get("layer"), told.get("sort") or "", told.get("person")
        state = told.get("state") or "open"
        return Wanted(
            state="" if state == "any" else state,
            person=int(person) if person else None,
            layer=Layer.from_code(layer) if layer else None,
            country=told.get("country") or "",
            is_late=bool(told.get("late")),
            sort=sort if sort.removeprefix("-") in SORTS else "next",
        )


class ScanSearchForm(Form):
    """Which scan of the register belongs here."""

    q = forms.CharField(label=_("Name of the file"), required=False, max_length=100)
