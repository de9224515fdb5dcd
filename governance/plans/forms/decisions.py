"""Deciding that a layer of a plan or a stop needs no paper, and withdrawing that."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import offer
from governance.plans.forms.attaching import stop_choices, stops_by_key
from governance.plans.models import FieldPlan
from governance.verdicts.forms.layer_decisions import ReasonedForm
from governance.verdicts.forms.overrides import WithdrawForm


class DecideForm(ReasonedForm):
    """For which stops, why, and what shows it. seen: the version that the person had before them."""

    stop = forms.ChoiceField(label=_("For"), required=False)
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)

    field_order = ("stop",)

    def __init__(self, *args: Any, plan: FieldPlan, **more: Any) -> None:
        super().__init__(*args, **more)
        self._stops = stops_by_key(plan)
        offer(self.fields["stop"], stop_choices(self._stops))

    @property
    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        told = self.cleaned_data
        return {
            "stop": self._stops.get(told["stop"]), "reason": told["reason"], "evidence": told["evidence"],
            "seen": told["seen"],
        }  # fmt: skip


class WithdrawDecisionForm(WithdrawForm):
    """The reason for taking a decision back."""
