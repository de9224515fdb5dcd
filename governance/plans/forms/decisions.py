"""Deciding that a layer of a plan or a stop needs no paper, and withdrawing that."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, offer
from governance.plans.forms.attaching import stop_choices, stops_by_key
from governance.plans.models import FieldPlan
from governance.verdicts.forms.overrides import WithdrawForm, needs_a_sentence

_LONGEST = 4000


class DecideForm(Form):
    """For which stops, why, and what shows it. seen: the version that the person had before them."""

    stop = forms.ChoiceField(label=_("For"), required=False)
    reason = forms.CharField(
        label=_("Not required because"), max_length=_LONGEST, widget=forms.Textarea(attrs={"lines": 3}),
        help_text=_("At least a sentence, for whoever reads it in ten years"), validators=[needs_a_sentence],
        error_messages={"required": _("Write why no paper is required, at least a sentence.")},
    )  # fmt: skip
    evidence = forms.CharField(
        label=_("Evidence"), max_length=_LONGEST, widget=forms.Textarea(attrs={"lines": 2}),
        help_text=_("What shows it: law and paragraph, letter of the authority; its day, and where it is kept"),
        error_messages={"required": _("Say what shows it, with its day and where it is kept.")},
    )  # fmt: skip
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)

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
