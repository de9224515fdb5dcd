"""Linking a paper to a plan or a stop, and taking it off."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, offer
from governance.plans.models import FieldPlan, Stop
from governance.verdicts.forms.bulk import PaperChoiceForm


def stop_choices(stops: dict[str, Stop]) -> list[tuple[str, str]]:
    """The whole plan, then each stop with its number, as the matrix counts them."""
    named = [(key, f"{number}. {stop.name}") for number, (key, stop) in enumerate(stops.items(), start=1)]
    return [("", _t("All stops of the plan")), *named]


def stops_by_key(plan: FieldPlan) -> dict[str, Stop]:
    """The stops of a plan in their order, by key as text."""
    return {str(stop.pk): stop for stop in plan.stops.order_by("position", "pk")}


class AttachForm(PaperChoiceForm):
    """A paper, for which stops, and why. seen: the version that the person had before them."""

    stop = forms.ChoiceField(label=_("For"), required=False)
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)

    field_order = ("paper", "stop", "why", "seen")

    def __init__(self, *args: Any, plan: FieldPlan, **more: Any) -> None:
        super().__init__(*args, **more)
        self._stops = stops_by_key(plan)
        offer(self.fields["stop"], stop_choices(self._stops))

    @property
    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        told = self.cleaned_data
        return {"paper": told["paper"], "stop": self._stops.get(told["stop"]), "why": told["why"], "seen": told["seen"]}


class TakeOffForm(Form):
    """Why a paper no longer speaks for the plan."""

    why = forms.CharField(
        label=_("Reason"), max_length=200, help_text=_("Kept with the paper, such as “replaced by the paper of 2027”"),
        error_messages={"required": _("Say why the paper is taken off.")},
    )  # fmt: skip
