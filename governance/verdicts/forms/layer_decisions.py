"""Deciding that a layer needs no paper, and withdrawing that."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Accession, Part
from accessions.people.entry_forms import Form, offer
from governance.verdicts.forms.overrides import WithdrawForm, needs_a_sentence

_LONGEST = 4000


class ReasonedForm(Form):
    """Why no paper is required, and what shows it: the same for material and for a plan."""

    reason = forms.CharField(
        label=_("Not required because"), max_length=_LONGEST, widget=forms.Textarea(attrs={"lines": 3}),
        help_text=_("At least a sentence, for whoever reads it in ten years"), validators=[needs_a_sentence],
        error_messages={"required": _("Write why no paper is required, at least a sentence.")},
    )  # fmt: skip
    evidence = forms.CharField(
        label=_("Evidence"), max_length=_LONGEST, widget=forms.Textarea(attrs={"lines": 2}),
        help_text=_("What shows it: law and paragraph, letter, field book; its day, and where it is kept"),
        error_messages={"required": _("Say what shows it, with its day and where it is kept.")},
    )  # fmt: skip


class DecideForm(ReasonedForm):
    """Of what, why, and what shows it."""

    part = forms.ChoiceField(label=_("For"), required=False)

    field_order = ("part",)

    def __init__(self, *args: Any, accession: Accession, **more: Any) -> None:
        super().__init__(*args, **more)
        self._parts = {str(part.pk): part for part in accession.parts.all()}
        parts = [(key, _t("Part %(letter)s") % {"letter": part.letter}) for key, part in self._parts.items()]
        offer(self.fields["part"], [("", _t("The whole accession")), *parts])
        if not parts:
            self.fields["part"].widget = forms.HiddenInput()

    @property
    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        told = self.cleaned_data
        part: Part | None = self._parts.get(told["part"])
        return {"part": part, "reason": told["reason"], "evidence": told["evidence"]}


class WithdrawDecisionForm(WithdrawForm):
    """The reason for taking a decision back."""
