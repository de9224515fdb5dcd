"""To which roles a paper is open, and why."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.access import roles_of_bits
from accessions.people.entry_forms import Form
from accessions.people.models import Role
from governance.papers.models import Paper

REASONS = (_("Community consent"), _("Names prices"), _("Private address"))
"""Usual reasons, as suggestions (the issue that asked for restriction names them)."""

REASON_LENGTH = 100
"""As long as a reason in the history."""


class RestrictForm(Form):
    """The roles that may read what is in the paper."""

    roles = forms.MultipleChoiceField(
        label=_("Open to"), choices=Role.choices, widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Tick the roles that may read it, yours among them.")},
    )  # fmt: skip
    why = forms.CharField(
        label=_("Reason"), max_length=REASON_LENGTH,
        help_text=_("Stands on the page of the paper for those who may read it, and in the history with your name"),
    )  # fmt: skip

    def __init__(self, *args: Any, paper: Paper, **more: Any) -> None:
        start = {"roles": [str(role) for role in roles_of_bits(paper.restricted_to)], "why": paper.restricted_why}
        super().__init__(*args, initial=start, **more)
        self.fields["why"].widget.attrs["list"] = "reasons-known"
