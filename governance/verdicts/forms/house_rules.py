"""The house rules, with the reason for their change."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from governance.verdicts.models import HouseRuleSet


class HouseRulesForm(forms.ModelForm):  # type: ignore[type-arg]
    """Only what may be set; the action writes it."""

    why = forms.CharField(
        label=_("Reason for the change"),
        max_length=100,
        widget=forms.TextInput(attrs={"class": "in"}),
        help_text=_("It stands in the history of the house rules."),
        error_messages={"required": _("Write why the house rules change.")},
    )

    class Meta:
        model = HouseRuleSet
        fields = ("assumed_radius_m", "datum_allowance_m", "approximate_count_percent", "longest_wait_days",
                  "overrides_need_review")  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.Meta.fields:
            if not isinstance(self.fields[name].widget, forms.CheckboxInput):
                self.fields[name].widget.attrs["class"] = "in w-m num"

    def values(self) -> dict[str, Any]:
        """The house rules as they were written."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields}
