"""What a person wants to be told of, and what stands in their calendar."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.duties.models import ReminderWish


class WishForm(Form):
    """What a daily mail tells."""

    wish = forms.ChoiceField(label=_("Tell me by mail each day"), choices=ReminderWish.Wish, widget=forms.RadioSelect)


class AddressForm(Form):
    """What a new calendar address gives."""

    which = forms.ChoiceField(
        label=_("The calendar shows"), initial="own", widget=forms.RadioSelect,
        choices=[("own", _("My duties")), ("all", _("All duties"))],
    )  # fmt: skip
