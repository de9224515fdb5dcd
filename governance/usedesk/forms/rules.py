"""What people type of the rules of the desk."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, RecordForm, why_field
from governance.engine.uses import Use
from governance.papers.forms.countries import CountryField
from governance.papers.models import USE_NAMES
from governance.usedesk.models import DeskRules, FootingRule, SilenceRule
from governance.usedesk.models.rules import FOOTINGS, READINGS, SILENT_KINDS


class HouseForm(RecordForm):
    """Where the house is, and how it lends."""

    country = CountryField(label=_("Country"), help_text=_("Blank: not known, so every use abroad waits for a person"))

    class Meta:
        model = DeskRules
        fields = ("institution", "address", "country", "cites_code", "loan_months", "overdue_grace_days")

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.is_new = False
        self.fields["why"] = why_field(required=True)
        self.fields["why"].widget.attrs["class"] = "in"
        self.fields["address"].widget.attrs["lines"] = 3

    def values(self) -> dict[str, Any]:
        """All of it: the action writes what changed."""
        return {name: self.cleaned_data[name] for name in self._meta.fields or ()}

    def _post_clean(self) -> None:
        """The action checks the row; the form would look for a second one with its key."""


class SilenceForm(Form):
    """How silence is read."""

    use = forms.TypedChoiceField(
        label=_("Use"), required=False, coerce=int, empty_value=None,
        choices=[("", _("Any use")), *((int(use), name) for use, name in USE_NAMES.items())],
    )  # fmt: skip
    paper_kind = forms.ChoiceField(
        label=_("Where this is silent"), required=False, choices=SILENT_KINDS,
        help_text=_("“No paper on file speaks” is for material of which no paper is heard at all"),
    )  # fmt: skip
    reading = forms.TypedChoiceField(label=_("Silence is"), coerce=int, widget=forms.RadioSelect, choices=READINGS)
    reason = forms.CharField(
        label=_("Because"), widget=forms.Textarea(attrs={"lines": 3}),
        help_text=_("At whose decision, and since when: it stands beside every answer that rests on it"),
        error_messages={"required": _("Say why silence is read so.")},
    )  # fmt: skip
    why = why_field(required=False)

    def __init__(self, *args: Any, rule: SilenceRule | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        if rule is None:
            self.fields["why"].widget = forms.HiddenInput()
        else:
            self.fields["why"].required = True

    def values(self) -> dict[str, Any]:
        """The fields of the rule."""
        return {name: self.cleaned_data[name] for name in ("use", "paper_kind", "reading", "reason")}


class FootingForm(Form):
    """What becomes of material whose footing is not settled."""

    if_outside = forms.TypedChoiceField(
        label=_("Outside terms, or no paper on file"), coerce=int, widget=forms.RadioSelect, choices=FOOTINGS
    )
    if_doubtful = forms.TypedChoiceField(
        label=_("Straddles, cannot tell, or not yet checked"), coerce=int, widget=forms.RadioSelect, choices=FOOTINGS
    )
    reason = forms.CharField(
        label=_("Because"), widget=forms.Textarea(attrs={"lines": 3}), error_messages={"required": _("Say why.")}
    )
    why = why_field(required=False)

    def __init__(self, *args: Any, rule: FootingRule | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        if rule is None:
            self.fields["why"].widget = forms.HiddenInput()
        else:
            self.fields["why"].required = True

    def values(self) -> dict[str, Any]:
        """The fields of the rule."""
        return {name: self.cleaned_data[name] for name in ("if_outside", "if_doubtful", "reason")}


class RemoveRuleForm(Form):
    """Why a rule goes."""

    why = why_field(required=True)


def use_of(code: str) -> Use | None:
    """The use of an address; None: there is none of this word."""
    return next((use for use in Use if use.code == code), None)
