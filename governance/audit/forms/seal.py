"""Heads of the seal typed off paper, and where they are kept."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.people.entry_forms import DressedForm, Form
from governance.audit.queries.seal.heads import Head, UnreadableHeadError, head_in

_HELP = gettext_lazy("The number of the entry, a colon, and the 64 digits, with or without spaces")


class HeadField(forms.CharField):
    """A head as it is printed: ``4,245: fdc8 4a9f ...``."""

    widget = forms.Textarea(attrs={"lines": 3, "spellcheck": "false", "autocomplete": "off"})

    def clean(self, value: Any) -> Head:  # type: ignore[override]  # the head itself, not its text
        """The head that stands in the text."""
        text: str = super().clean(value)
        try:
            return head_in(text, _("what you typed"))
        except UnreadableHeadError:
            raise ValidationError(self._what_is_wrong(text)) from None

    def _what_is_wrong(self, text: str) -> str:
        number, _colon, hash_text = text.partition(":")
        digits = "".join(hash_text.split())
        if number.strip().replace(",", "").isdigit() and digits:
            return _("%(count)d digits stand after the colon; a hash has 64, from 0 to 9 and a to f.") % {
                "count": len(digits)
            }
        return _("Write the number of the entry, a colon, and the 64 digits of the hash.")


class CompareForm(DressedForm, forms.Form):
    """A printed head to be held against the register; asked by the address."""

    printed = HeadField(label=gettext_lazy("Printed seal"), help_text=_HELP)


class KeptHeadForm(Form):
    """A head and where it is kept besides."""

    head = HeadField(label=gettext_lazy("Seal"), help_text=_HELP)
    where = forms.CharField(
        label=gettext_lazy("Kept where"), max_length=300,
        help_text=gettext_lazy("Such as: noted in the ledger, p. 212; mailed to the notary"),
    )  # fmt: skip
