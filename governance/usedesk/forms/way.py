"""What people type when they decide on the way there."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.papers.models import Paper
from governance.papers.restriction import is_readable, restricted_words
from governance.verdicts.forms.overrides import needs_a_sentence


class WayForm(Form):
    """Not needed, or held: which paper; why, and what shows it."""

    NOT_NEEDED, HELD = "not-needed", "held"

    found = forms.ChoiceField(
        label=_("What was found"), widget=forms.RadioSelect, choices=[
            (NOT_NEEDED, _("No paper is needed")), (HELD, _("The paper is held: it is on file")),
        ], error_messages={"required": _("Say whether a paper is needed.")},
    )  # fmt: skip
    paper = forms.CharField(
        label=_("Which paper"), required=False, max_length=100, help_text=_("Its reference, if it is held"),
        widget=forms.TextInput(attrs={"list": "papers-known", "autocomplete": "off"}),
    )  # fmt: skip
    reason = forms.CharField(
        label=_("Because"), max_length=4000, widget=forms.Textarea, validators=[needs_a_sentence],
        help_text=_("At least a sentence, for whoever reads it in ten years"),
        error_messages={"required": _("Write why, at least a sentence.")},
    )  # fmt: skip
    evidence = forms.CharField(
        label=_("Evidence"), max_length=4000, widget=forms.Textarea(attrs={"lines": 2}),
        help_text=_("What shows it: law and paragraph, letter, permit; its day, and where it is kept"),
        error_messages={"required": _("Say what shows it, with its day and where it is kept.")},
    )  # fmt: skip

    def __init__(self, *args: Any, reader: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.reader = reader

    def clean_paper(self) -> Paper | None:
        """The paper of this reference, if the person may read it."""
        number = str(self.cleaned_data["paper"]).strip()
        if not number:
            return None
        paper = Paper.objects.filter(reference=number).first()
        if paper is None:
            words = _t("The register has no paper %(number)s. Check the reference, or register it first.")
            raise ValidationError(words % {"number": number})
        if not is_readable(paper, self.reader):
            raise ValidationError(f"{paper.reference}: {restricted_words(paper.restricted_to)}")
        return paper

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        found, paper = told.get("found"), told.get("paper")
        if found == self.HELD and paper is None and "paper" not in self.errors:
            self.add_error("paper", _t("Say which paper is held."))
        if found == self.NOT_NEEDED and paper is not None:
            self.add_error("paper", _t("No paper is needed, and one is named. Leave one of the two."))
        return told
