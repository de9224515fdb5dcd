"""What people type when they decide which material may go."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.usedesk.queries.deciding import ToDecide
from governance.usedesk.queries.numbered import Numbered, numbered_in
from governance.verdicts.forms.overrides import WithdrawForm

_MOST_SHOWN = 20


class DecideForm(Form):
    """Approve or decline a group, or a part of it. seen: what the person had before them."""

    ALL, FIRST, TICKED, LISTED = "all", "first", "ticked", "listed"

    verdict = forms.ChoiceField(
        label=_("They"), widget=forms.RadioSelect, choices=[("go", _("may go")), ("stay", _("stay here"))],
        error_messages={"required": _("Say whether they may go or stay.")},
    )  # fmt: skip
    reason = forms.CharField(label=_("Reason"), required=False, widget=forms.Textarea, max_length=4000)
    which = forms.ChoiceField(label=_("Which of them"), widget=forms.RadioSelect, initial=ALL, choices=[
        (ALL, _("All that are undecided")), (FIRST, _("The first so many")), (TICKED, _("Those that are ticked below")),
        (LISTED, _("Those of a list of numbers")),
    ])  # fmt: skip
    first = forms.IntegerField(label=_("How many"), required=False, min_value=1)
    numbers = forms.CharField(
        label=_("Numbers"), required=False, widget=forms.Textarea(attrs={"lines": 3}),
        help_text=_("Catalogue numbers, one a line or with commas between"),
    )  # fmt: skip
    seen = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, waiting: ToDecide, may_approve: bool, needs_reason: bool, **more: Any) -> None:
        super().__init__(*args, **more)
        self.waiting = waiting
        if not may_approve:
            self.fields["verdict"].choices = [("stay", _("stay here"))]  # type: ignore[attr-defined]
            self.fields["verdict"].initial = "stay"
        self.fields["reason"].help_text = (
            _("At least a sentence: what you know that the terms do not say, and from where")
            if needs_reason
            else _("Needed where they stay although the terms allow it")
        )
        self.chosen: list[int] | None = None

    @property
    def is_approved(self) -> bool:
        return bool(self.cleaned_data["verdict"] == "go")

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        try:
            self.chosen = self._chosen(told)
        except ValidationError as error:
            self.add_error(None, error)
        return told

    def _chosen(self, told: Mapping[str, Any]) -> list[int] | None:
        """Keys of specimens; None: all of the group."""
        which, undecided = told.get("which"), self.waiting.undecided
        if which == self.FIRST:
            if not told.get("first"):
                raise ValidationError({"first": _t("Say how many.")})
            if told["first"] > len(undecided):
                words = _t("Only %(n)d are undecided here.") % {"n": len(undecided)}
                raise ValidationError({"first": words})
            return list(undecided[: told["first"]])
        if which == self.TICKED:
            return self._ticked(undecided)
        if which == self.LISTED:
            return self._listed(str(told.get("numbers") or ""))
        return None

    def _ticked(self, undecided: Sequence[int]) -> list[int]:
        typed = self.data.getlist("item") if hasattr(self.data, "getlist") else []
        keys = {int(key) for key in typed if key.isascii() and key.isdigit() and len(key) < 19}
        if not keys:
            raise ValidationError(_t("Tick at least one specimen in the list below."))
        if gone := keys - set(undecided):
            words = _t("%(n)d of the ticked specimens are no longer undecided in this group. Look again.")
            raise ValidationError(words % {"n": len(gone)})
        return [pk for pk in undecided if pk in keys]

    def _listed(self, text: str) -> list[int]:
        numbers = [part for part in re.split(r"[\n,;\t]+", text) if part.strip()]
        if not numbers:
            raise ValidationError({"numbers": _t("List at least one number.")})
        found = numbered_in([" ".join(number.split()) for number in numbers], self.waiting.undecided)
        if problems := list(_problems(found)):
            raise ValidationError({"numbers": problems})
        return [pk for pk in self.waiting.undecided if pk in set(found.keys)]


def _problems(found: Numbered) -> Any:
    for numbers, words in (
        (found.unknown, _t("Not undecided in this group, or no number of the register: %(numbers)s.")),
        (found.several, _t("Several specimens of this group have this number: %(numbers)s. Tick them instead.")),
    ):
        if numbers:
            more = len(numbers) - _MOST_SHOWN
            shown = ", ".join(numbers[:_MOST_SHOWN]) + (_t(" and %(n)d more") % {"n": more} if more > 0 else "")
            yield words % {"numbers": shown}


class ApproveAllForm(Form):
    """Approve all that may go. seen: of each group that the person had before them."""

    reason = forms.CharField(label=_("Reason"), required=False, widget=forms.Textarea(attrs={"lines": 2}))
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def marks(self) -> list[str]:
        """What was seen, group by group."""
        return str(self.cleaned_data["seen"]).split()


class WithdrawDecisionForm(WithdrawForm):
    """The reason for taking a decision back."""

    status = property(lambda self: 422 if self.is_bound and self.errors else 200)
