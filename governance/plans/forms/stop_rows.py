"""The rows below a stop as people type them: groups that are meant, traps that stand."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from django import forms
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from accessions.values import read_count
from governance.plans.models import StopTarget
from governance.plans.queries.known_groups import higher_names

MOST_ROWS: Final = 200
_PERIOD = _("The last day, %(last)s, is before the first, %(first)s.")
BESIDE_NAME: Final = ("kingdom", "rank", "higher", "expected")


class TargetForm(Form):
    """A group that is meant; a blank row is none."""

    pk = forms.IntegerField(required=False, widget=forms.HiddenInput)
    name = forms.CharField(label=_("Group"), required=False, max_length=200, help_text=_("A name at any rank"))
    kingdom = forms.CharField(label=_("Kingdom"), required=False, max_length=50, help_text=_("If the name has two"))
    rank = forms.ChoiceField(label=_("Rank"), required=False, choices=[("", "–"), *StopTarget.RANKS])
    higher = forms.CharField(
        label=_("Belongs to"), required=False, max_length=500,
        help_text=_("Such as Animalia | Arthropoda | Insecta. Blank: from the names of the register, where known"),
    )  # fmt: skip
    expected = forms.CharField(
        label=_("Expected number"), required=False, max_length=60, help_text=_("Such as 400, or 200-400")
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["kingdom"].widget.attrs.update({"list": "kingdoms-known", "autocomplete": "off"})

    def clean_higher(self) -> str:
        return " | ".join(higher_names(self.cleaned_data["higher"]))

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        if not told.get("name") and any(told.get(name) for name in BESIDE_NAME) and "name" not in self.errors:
            self.add_error("name", _t("Name the group, or empty the whole row."))
        return told

    @property
    def note(self) -> str:
        """What is odd about the expected number, gently: it is kept."""
        told = getattr(self, "cleaned_data", {}) if self.is_bound else self.initial
        return count_note(str(told.get("name") or ""), str(told.get("expected") or ""))


class TrapForm(Form):
    """Traps of a kind that stand; a blank row is none."""

    pk = forms.IntegerField(required=False, widget=forms.HiddenInput)
    method = forms.CharField(label=_("Kind of trap"), required=False, max_length=100)
    number = forms.IntegerField(label=_("How many"), required=False, min_value=1, max_value=32767)
    first_on = forms.DateField(label=_("Set on"), required=False)
    last_on = forms.DateField(label=_("Emptied on"), required=False)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["method"].widget.attrs.update({"list": "methods-known", "autocomplete": "off"})

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        if not told.get("method") and any(told.get(name) for name in ("number", "first_on", "last_on")):
            self.add_error("method", _t("Name the kind of trap, or empty the whole row."))
        if told.get("method"):
            told["number"] = told.get("number") or 1
        refuse_turned_period(self, told)
        return told


TargetRows = forms.formset_factory(TargetForm, extra=0, max_num=MOST_ROWS, absolute_max=MOST_ROWS)
TrapRows = forms.formset_factory(TrapForm, extra=0, max_num=MOST_ROWS, absolute_max=MOST_ROWS)


def refuse_turned_period(form: Form, told: Mapping[str, Any]) -> None:
    """A last day before the first stands beside its box."""
    first, last = told.get("first_on"), told.get("last_on")
    if isinstance(first, date) and isinstance(last, date) and last < first:
        form.add_error("last_on", _PERIOD % {"first": first.isoformat(), "last": last.isoformat()})


def count_note(name: str, expected: str) -> str:
    """What is odd about an expected number, "" if nothing is."""
    read = read_count(count_range=expected) if expected else None
    if read is None or not read.hint:
        return ""
    return _t(
        "Expected number of %(group)s, “%(found)s”: %(hint)s. It is kept as written; against limits it counts as one "
        "or more, without an upper end."
    ) % {"group": name, "found": expected, "hint": read.hint}
