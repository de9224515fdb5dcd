"""Rules of keeping, the end of utilisation, and which papers the page of keeping shows."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, offer, why_field
from governance.audit.models import KeptKind
from governance.audit.queries.keeping import STATE_NAMES
from governance.audit.queries.keeping_listing import KeptWanted
from governance.engine.keeping import MOST_YEARS

_LONGEST = 4000


class KeptFilterForm(Form):
    """All fields are optional; what makes no sense asks for nothing."""

    state = forms.ChoiceField(required=False, label=_("State"))
    kind = forms.ChoiceField(required=False, label=_("Rule"))
    words = forms.CharField(required=False, max_length=100, label=_("Paper"))

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        states = [(state.value, capfirst(name)) for state, name in STATE_NAMES.items()]
        offer(self.fields["state"], [("", _("Every state")), *states])
        kinds = [(kind.value, kind.label) for kind in KeptKind if kind is not KeptKind.PERSON]
        offer(self.fields["kind"], [("", _("Every rule")), *kinds])

    def wanted(self) -> KeptWanted:
        """What the fields ask for, so far as they make sense."""
        self.is_valid()
        told = self.cleaned_data
        return KeptWanted(told.get("state") or "", told.get("kind") or "", told.get("words") or "")


class RuleForm(Form):
    """The rule of the house for one sort of record."""

    kind = forms.CharField(widget=forms.HiddenInput)
    years = forms.IntegerField(
        label=_("Years"), required=False, min_value=0, max_value=MOST_YEARS, help_text=_("Blank: for ever")
    )
    source = forms.CharField(
        label=_("Where the number comes from"), max_length=300, widget=forms.Textarea(attrs={"lines": 2}),
        help_text=_("A law with its article, an agreement, a decision of the house with its day"),
    )  # fmt: skip
    why = why_field(required=True)


class EndForm(Form):
    """The day on which utilisation ended."""

    ended_on = forms.DateField(label=_("Utilisation ended on"), help_text=_("The last day of research or development"))
    evidence = forms.CharField(
        label=_("What shows it"), max_length=_LONGEST, widget=forms.Textarea(attrs={"lines": 4}),
        help_text=_("A report, a letter, the end of a project: with its number and where it is kept"),
    )  # fmt: skip

    def clean_ended_on(self) -> date:
        """No day to come."""
        day: date = self.cleaned_data["ended_on"]
        if day > timezone.localdate():
            raise ValidationError(_("Utilisation cannot have ended on a day to come. State it when it has ended."))
        return day


class ReasonForm(Form):
    """A reason."""

    why = forms.CharField(label=_("Reason"), max_length=_LONGEST, widget=forms.Textarea(attrs={"lines": 3}))


class DisposeForm(ReasonForm):
    """A reason. seen: what the page said that goes, so that nobody destroys what they did not see."""

    seen = forms.CharField(required=False, widget=forms.HiddenInput)
