"""Forms of saved questions."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, RecordForm
from governance.audit.models import SavedQuestion


class SaveForm(RecordForm):
    """Saves a question under a title, or changes it."""

    class Meta:
        model = SavedQuestion
        fields = ("title", "is_shared", "schedule")
        help_texts = {
            "is_shared": _("Everybody sees the question; the answer is always that of their own role."),
            "schedule": _("For each role that follows it. It is also asked whenever somebody asks it."),
        }

    follows = forms.BooleanField(label=_("Show its number on my Today"), required=False, initial=True)
    is_mailed = forms.BooleanField(label=_("Send me an e-mail when its answer changes"), required=False)

    def __init__(self, *args: Any, has_address: bool = True, **more: Any) -> None:
        super().__init__(*args, **more)
        if not self.is_new:
            del self.fields["follows"], self.fields["is_mailed"]
        elif not has_address:
            self.fields["is_mailed"].help_text = _("No e-mail address is on file for you: ask an administrator.")


class FollowForm(Form):
    """How a person follows a question."""

    is_on_today = forms.BooleanField(label=_("Show its number on Today"), required=False)
    is_mailed = forms.BooleanField(label=_("Send me an e-mail when its answer changes"), required=False)
