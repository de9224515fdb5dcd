"""Which writes the page of histories shows."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from accessions.people.models import User
from governance.audit.queries.entries import WritesWanted


class WritesForm(Form):
    """All fields are optional; what makes no sense is left out of the question, and said at its field."""

    by = forms.ModelChoiceField(
        User.objects.order_by("last_name", "first_name", "username"), required=False, label=_("Who"),
        empty_label=_("Anybody"),
    )  # fmt: skip
    first = forms.DateField(required=False, label=_("From"), widget=forms.DateInput(attrs={"type": "date"}))
    last = forms.DateField(required=False, label=_("To"), widget=forms.DateInput(attrs={"type": "date"}))
    words = forms.CharField(required=False, max_length=100, label=_("Page or command"), strip=True)
    only_late = forms.BooleanField(required=False, label=_("Only what was sealed late"))

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.fields["by"].label_from_instance = lambda user: user.shown_name  # type: ignore[attr-defined]

    def wanted(self) -> WritesWanted:
        """What the fields ask for, so far as they make sense."""
        self.is_valid()
        data = self.cleaned_data
        by = data.get("by")
        return WritesWanted(
            by=by.pk if by else None, first=data.get("first"), last=data.get("last"),
            words=data.get("words") or "", only_late=bool(data.get("only_late")),
        )  # fmt: skip
