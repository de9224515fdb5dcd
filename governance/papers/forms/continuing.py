"""A continuation: with which paper, in which direction, and by what it is proven."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, why_field
from governance.papers.models import Paper, PaperContinuation

LATER, EARLIER = "later", "earlier"


class ProofForm(Form):
    """What is known of the proof."""

    proof = forms.ChoiceField(
        label=_("Is it proven?"), choices=PaperContinuation.Proof.choices,
        initial=PaperContinuation.Proof.NOT_LOOKED,
    )  # fmt: skip
    evidence = forms.CharField(
        label=_("Evidence"), required=False, max_length=4000, widget=forms.Textarea(attrs={"lines": 2}),
        help_text=_("Letter, decision or rule, with its day: letter of 3 May 2025"),
    )  # fmt: skip
    why = why_field(required=False)

    def clean(self) -> dict[str, Any]:
        """What is proven is proven by something."""
        told = super().clean() or {}
        if told.get("proof") == PaperContinuation.Proof.PROVEN and not (told.get("evidence") or "").strip():
            self.add_error("evidence", _t("Say by what the continuation is proven: letter, decision, rule."))
        return told


class ContinuationForm(ProofForm):
    """A new one. paper: the one from whose page it is recorded."""

    direction = forms.ChoiceField(
        label=_("This paper"), initial=LATER,
        choices=[(LATER, _("is continued by the other one")), (EARLIER, _("continues the other one"))],
    )  # fmt: skip
    other = forms.CharField(
        label=_("The other paper"), max_length=100, help_text=_("Its reference, as in the register")
    )

    field_order = ("direction", "other", "proof", "evidence", "why")

    def __init__(self, *args: Any, paper: Paper, **more: Any) -> None:
        super().__init__(*args, **more)
        self._paper = paper

    def clean_other(self) -> Paper:
        """The paper that was meant."""
        reference = str(self.cleaned_data["other"]).strip()
        if reference == self._paper.reference:
            raise ValidationError(_t("A paper does not continue itself: write the reference of the other one."))
        found = Paper.objects.filter(reference=reference).first()
        if found is None:
            raise ValidationError(
                _t("“%(reference)s” is not in the register. Check the number, or register the paper first.")
                % {"reference": reference[:60]}
            )
        return found

    @property
    def ends(self) -> dict[str, Paper]:
        """The earlier and the later of the two."""
        other = self.cleaned_data["other"]
        pair = (self._paper, other) if self.cleaned_data["direction"] == LATER else (other, self._paper)
        return {"earlier": pair[0], "later": pair[1]}
