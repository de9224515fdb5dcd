"""What people type of a question to a provider, and of its reply."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.access import Verb, may
from accessions.people.entry_forms import Form, why_field
from governance.papers.models import USE_NAMES
from governance.usedesk.forms.requests import UsesField, grouped_uses
from governance.usedesk.models import ProviderQuestion, UseRequest

_LETTER = _("A scan, mail or document; it is kept as it came")


class AskForm(Form):
    """A provider was asked: for which uses of the request, whom, when."""

    uses = UsesField(label=_("It was asked for"), error_messages={"required": _("Choose at least one use.")})
    asked_of = forms.CharField(
        label=_("Asked of"), max_length=300, error_messages={"required": _("Say who was asked.")}
    )
    asked_on = forms.DateField(label=_("Asked on"))
    letter = forms.FileField(label=_("The letter"), required=False, help_text=_LETTER)

    def __init__(self, *args: Any, request: UseRequest, person: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        field = self.fields["uses"]
        field.choices = [(str(int(use)), USE_NAMES[use]) for use in request.use_list]  # type: ignore[attr-defined]
        if not may(person, Verb.ATTACH_SCANS):
            del self.fields["letter"]

    @property
    def use_groups(self) -> list[tuple[Any, list[Any]]]:
        return list(grouped_uses(self["uses"]))

    @property
    def rest(self) -> list[Any]:
        return [self[name] for name in ("asked_of", "asked_on", "letter") if name in self.fields]


class ReplyForm(Form):
    """What the provider replied. A reply that is recorded already is corrected with a reason."""

    reply = forms.ChoiceField(
        label=_("The provider"), widget=forms.RadioSelect, choices=[
            (ProviderQuestion.Reply.AGREED, _("agreed")), (ProviderQuestion.Reply.REFUSED, _("refused")),
        ], error_messages={"required": _("Say whether the provider agreed or refused.")},
    )  # fmt: skip
    replied_on = forms.DateField(label=_("Replied on"))
    reply_words = forms.CharField(
        label=_("The reply in its words"), widget=forms.Textarea,
        help_text=_("What was written, with its conditions; what was only said, with who said it"),
        error_messages={"required": _("Write the reply in its words.")},
    )  # fmt: skip
    letter = forms.FileField(label=_("The reply as a file"), required=False, help_text=_LETTER)
    why = why_field(required=True)

    def __init__(self, *args: Any, question: ProviderQuestion, person: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.question = question
        if not may(person, Verb.ATTACH_SCANS):
            del self.fields["letter"]
        if not question.reply:
            self.fields["why"].required = False
            self.fields["why"].widget = forms.HiddenInput()

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        day = told.get("replied_on")
        if day and day < self.question.asked_on:
            words = _t("%(day)s is before the day on which it was asked (%(asked)s).")
            self.add_error("replied_on", words % {"day": day, "asked": self.question.asked_on})
        return told

    def values(self) -> dict[str, Any]:
        """What the action writes."""
        return {name: self.cleaned_data[name] for name in ("reply", "replied_on", "reply_words")}
