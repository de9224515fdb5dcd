"""Deciding beside a verdict, and withdrawing that."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from governance.engine.tables import Verdict
from governance.verdicts.actions.overrides import SHORTEST_REASON
from governance.verdicts.cells import Cell
from governance.verdicts.models import VERDICT_NAMES


def needs_a_sentence(text: str) -> None:
    """Refuses what is too short for a reason."""
    words = " ".join(text.split())
    if len(words) < SHORTEST_REASON or " " not in words:
        raise ValidationError(_("Write at least a sentence: whoever reads it in ten years was not there."))


class _ReasonForm(forms.Form):
    reason = forms.CharField(
        label=_("Reason"),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4, "class": "in"}),
        help_text=_("At least a sentence: what you know that the papers on file do not say, and from where."),
        validators=[needs_a_sentence],
        error_messages={"required": _("Write the reason, at least a sentence.")},
    )


class OverruleForm(_ReasonForm):
    """The decided verdict and the reason; computed: the verdict that the person saw."""

    decided = forms.TypedChoiceField(
        label=_("Your decision"),
        coerce=int,
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose the verdict that is to count.")},
    )
    computed = forms.IntegerField(widget=forms.HiddenInput)

    field_order = ("decided", "reason", "computed")

    def __init__(self, *args: Any, computed: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["decided"].choices = [  # type: ignore[attr-defined]
            (int(verdict), VERDICT_NAMES[verdict]) for verdict in Verdict if verdict != computed
        ]
        self.fields["computed"].initial = computed

    def options(self) -> list[tuple[forms.BoundWidget, Cell]]:  # type: ignore[name-defined]
        """Each choice with the drawing of its verdict."""
        return [(radio, Cell(Verdict(int(radio.data["value"])))) for radio in self["decided"]]


class WithdrawForm(_ReasonForm):
    """The reason for taking a decision back."""
