"""What people type of country sheets."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, RecordForm, why_field
from governance.verdicts.models import LAYERS, CountrySheet


class SheetForm(RecordForm):
    """Authority, contact and remarks of a sheet."""

    class Meta:
        model = CountrySheet
        fields = ("authority", "contact", "remarks")


class StampForm(Form):
    """Who checked the sheet, and when."""

    checked_by = forms.CharField(label=_("Checked by"), max_length=200)
    checked_on = forms.DateField(label=_("Checked on"))


_SAYS = [("True", _("Required")), ("False", _("Not required"))]


class _RuleFields(Form):
    required = forms.TypedChoiceField(
        label=_("The layer is"), choices=_SAYS, coerce=lambda text: text == "True", widget=forms.RadioSelect
    )
    source = forms.CharField(
        label=_("Source"), max_length=500, help_text=_("Where it stands: law, paragraph, date; or who said so and when")
    )
    lead_days = forms.IntegerField(
        label=_("Lead time in days"), required=False, min_value=0, max_value=3650,
        help_text=_("From application to answer, as far as known"),
    )  # fmt: skip

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["why"] = why_field(required=False)
        self.fields["why"].widget.attrs["class"] = "in"

    @property
    def why(self) -> str:
        return self.cleaned_data.get("why") or str(_("rule of the country sheet"))

    def values(self) -> dict[str, Any]:
        return {name: value for name, value in self.cleaned_data.items() if name != "why"}


class RuleForm(_RuleFields):
    """A new rule."""

    layer = forms.TypedChoiceField(label=_("Layer"), choices=LAYERS, coerce=int)
    from_on = forms.DateField(label=_("From"), required=False, help_text=_("Blank: since ever"))
    to_on = forms.DateField(label=_("To"), required=False, help_text=_("Blank: until today and on"))

    field_order = ["layer", "required", "from_on", "to_on", "source", "lead_days", "why"]


class FollowingRuleForm(_RuleFields):
    """A rule that follows another."""

    from_on = forms.DateField(label=_("From"), help_text=_("The old rule ends the day before"))

    field_order = ["from_on", "required", "source", "lead_days", "why"]


class EndRuleForm(Form):
    """The last day of a rule."""

    last_day = forms.DateField(label=_("Last day"))
    why = why_field(required=True)


class CorrectRuleForm(Form):
    """The source or the lead time put right."""

    source = forms.CharField(label=_("Source"), max_length=500)
    lead_days = forms.IntegerField(label=_("Lead time in days"), required=False, min_value=0, max_value=3650)
    why = why_field(required=True)
