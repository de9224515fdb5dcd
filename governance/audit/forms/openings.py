"""Which openings the page shows."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from accessions.people.models import User
from governance.audit.queries.openings import OpeningsWanted


class OpeningsForm(Form):
    """All fields are optional; what makes no sense is left out of the question, and said at its field."""

    paper = forms.CharField(required=False, max_length=100, label=_("Paper"))
    by = forms.ModelChoiceField(
        User.objects.order_by("last_name", "first_name", "username"), required=False, label=_("Who"),
        empty_label=_("Anybody"),
    )  # fmt: skip
    first = forms.DateField(required=False, label=_("From"))
    last = forms.DateField(required=False, label=_("To"))

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["by"].label_from_instance = lambda user: user.shown_name  # type: ignore[attr-defined]

    def wanted(self) -> OpeningsWanted:
        """What the fields ask for, so far as they make sense."""
        self.is_valid()
        told = self.cleaned_data
        by = told.get("by")
        return OpeningsWanted(told.get("paper") or "", by.pk if by else None, told.get("first"), told.get("last"))
