"""Signing a plan off, and withdrawing that."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.plans.actions.versions import WHY_LENGTH
from governance.verdicts.forms.overrides import needs_a_sentence

_LONGEST = 4000


class SignOffForm(Form):
    """The remark. seen, looked: the version and the check that the signer read."""

    remark = forms.CharField(
        label=_("Remark"), max_length=_LONGEST, widget=forms.Textarea(attrs={"lines": 4}),
        help_text=_("At least a sentence: what you looked at, and why what is still open may stay so for now"),
        validators=[needs_a_sentence],
        error_messages={"required": _("Say what you looked at, and what is still open: at least a sentence.")},
    )  # fmt: skip
    seen = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    looked = forms.CharField(widget=forms.HiddenInput, max_length=64)


class WithdrawSignOffForm(Form):
    """Why a sign-off no longer holds."""

    why = forms.CharField(
        label=_("Reason"), max_length=WHY_LENGTH, help_text=_("At least a sentence; it stays in the record"),
        validators=[needs_a_sentence], error_messages={"required": _("Write why it no longer holds.")},
    )  # fmt: skip
