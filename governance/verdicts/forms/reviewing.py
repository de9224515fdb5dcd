"""What a second person says of a decision."""

from __future__ import annotations

from typing import Final

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.verdicts.forms.overrides import needs_a_sentence


class ReviewForm(Form):
    """Agreed or refused, and why."""

    AGREE: Final = "agree"
    REFUSE: Final = "refuse"

    answer = forms.ChoiceField(
        label=_("Your answer"), widget=forms.RadioSelect,
        choices=[(AGREE, _("I agree: the decision counts")), (REFUSE, _("I refuse: the computed verdict counts"))],
    )  # fmt: skip
    words = forms.CharField(
        label=_("What you looked at, and why"), max_length=4000, widget=forms.Textarea(attrs={"lines": 4}),
        validators=[needs_a_sentence], help_text=_("At least a sentence"),
    )  # fmt: skip
