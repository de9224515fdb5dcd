"""What people type of a plan itself: its face, how it ends, how it is copied; and what its list is narrowed to."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, offer, why_field
from accessions.people.history import WHY_LENGTH
from governance.plans.models import PLANNED_USES, FieldPlan, PlanLanguage
from governance.plans.moved_days import Shift
from governance.plans.queries.listing import (
    SORTS,
    STATE_WORDS,
    PlanFilter,
    countries_planned,
    years_planned,
)


class PlanFilterForm(Form):
    """Narrows the list of plans."""

    q = forms.CharField(label=_("Words"), required=False, max_length=200)
    q.widget.attrs["placeholder"] = _("Number, title, person, stop, group")
    state = forms.ChoiceField(label=_("State"), required=False, choices=[("", _("All")), *STATE_WORDS.items()])
    year = forms.ChoiceField(label=_("Days in"), required=False)
    country = forms.ChoiceField(label=_("Country"), required=False)
    sort = forms.ChoiceField(
        required=False, widget=forms.HiddenInput, choices=[(key, key) for name in SORTS for key in (name, f"-{name}")]
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        offer(self.fields["year"], [("", _("All years")), *((str(year), str(year)) for year in years_planned())])
        offer(self.fields["country"], [("", _("All")), *((code, code) for code in countries_planned())])

    def narrowed(self) -> PlanFilter:
        """The filter that was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        return PlanFilter(**{name: value for name, value in self.cleaned_data.items() if value})


class PlanForm(Form):
    """The face of a plan. seen: the number of the version that the person has before them."""

    reference = forms.CharField(
        label=_("Plan number"), max_length=60, help_text=_("A short number of your own; the next one is offered")
    )
    title = forms.CharField(
        label=_("Title"), max_length=200, help_text=_("Such as: Caddisflies of the Nazvri headwaters, June 2027")
    )
    leader = forms.CharField(label=_("Led by"), max_length=200, required=False)
    language = forms.ChoiceField(label=_("Language of the field pack"), choices=PlanLanguage.choices)
    uses = forms.MultipleChoiceField(
        label=_("Uses meant for the material"), required=False, choices=list(PLANNED_USES.items()),
        widget=forms.CheckboxSelectMultiple,
        help_text=_("They decide which papers are asked for, and what these have to allow"),
    )  # fmt: skip
    contacts = forms.CharField(
        label=_("Whom to tell"), required=False, widget=forms.Textarea,
        help_text=_("In an emergency or when plans change: who, by which number. It is printed in the field pack"),
    )  # fmt: skip
    remarks = forms.CharField(label=_("Remarks"), required=False, widget=forms.Textarea)
    why = why_field(required=False)
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, plan: FieldPlan | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        self.plan = plan
        self.fields["leader"].widget.attrs.update({"list": "people-known", "autocomplete": "off"})
        if plan is None:
            self.fields["why"].widget = forms.HiddenInput()

    def clean_reference(self) -> str:
        text = " ".join(str(self.cleaned_data["reference"]).split())
        others = FieldPlan.objects.filter(reference__iexact=text)
        if self.plan is not None:
            others = others.exclude(pk=self.plan.pk)
        if other := others.first():
            words = _t("“%(number)s” is the number of “%(title)s”. Give this plan a number of its own.")
            raise ValidationError(words % {"number": other.reference, "title": other.title})
        return text

    def values(self) -> dict[str, Any]:
        """The fields of the plan."""
        return {name: value for name, value in self.cleaned_data.items() if name not in ("why", "seen")}


class CloseForm(Form):
    """Why a plan is closed."""

    why = forms.CharField(
        label=_("It is closed because"), max_length=WHY_LENGTH,
        help_text=_("Such as: the trip is over; put off to 2028; not funded"),
        error_messages={"required": _("Say why the plan is closed: it is over, or was given up.")},
    )  # fmt: skip


class ReopenForm(Form):
    """Why a plan is taken up again."""

    why = why_field(required=False)


class CopyForm(Form):
    """The copy of a plan: its number and title, how far its days move, whether papers come along."""

    YEARS, DAYS, NOT = "years", "days", "not"

    reference = forms.CharField(label=_("New plan number"), max_length=60)
    title = forms.CharField(label=_("Title"), max_length=200)
    by = forms.ChoiceField(
        label=_("All days move"), widget=forms.RadioSelect,
        choices=[(YEARS, _("by years")), (DAYS, _("by days")), (NOT, _("not at all"))],
    )  # fmt: skip
    number = forms.IntegerField(
        label=_("How many years or days"), required=False, min_value=-4000, max_value=4000,
        help_text=_("Below zero: to an earlier day"),
    )  # fmt: skip
    same_weekdays = forms.BooleanField(label=_("Keep the days of the week (moves by whole weeks)"), required=False)
    papers = forms.ChoiceField(
        label=_("Papers linked to the plan and its stops"), widget=forms.RadioSelect,
        choices=[("in-force", _("come along if they are in force on the first day of the copy")),
                 ("none", _("stay behind"))],
    )  # fmt: skip

    clean_reference = PlanForm.clean_reference
    plan: FieldPlan | None = None

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        number = told.get("number")
        if told.get("by") in (self.YEARS, self.DAYS) and number is None and "number" not in self.errors:
            self.add_error("number", _t("Say by how many."))
        if told.get("by") == self.YEARS and number is not None and abs(number) > 50:
            self.add_error("number", _t("%(n)d years is too far: 50 at most, either way.") % {"n": number})
        return told

    def shift(self) -> Shift:
        """How far the days move."""
        number = self.cleaned_data.get("number") or 0
        return {self.YEARS: Shift(years=number), self.DAYS: Shift(days=number)}.get(self.cleaned_data["by"], Shift())
