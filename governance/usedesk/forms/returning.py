"""What people type when a loan comes back, or lasts longer."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, why_field
from governance.usedesk.models import MadeUse
from governance.usedesk.queries.chosen import by_numbers, numbers_in, out_on


class ReturnForm(Form):
    """What came back: all, those of a list, or those that are ticked."""

    on = forms.DateField(label=_("Came back on"))
    which = forms.ChoiceField(
        label=_("What came back"), widget=forms.RadioSelect, initial="some",
        choices=[("all", _("All that are out")), ("some", _("Those listed or ticked"))],
    )  # fmt: skip
    numbers = forms.CharField(
        label=_("Catalogue numbers"), required=False, widget=forms.Textarea(attrs={"lines": 6}),
        help_text=_("One a line, or with commas between; scan them one after another into this box"),
    )  # fmt: skip
    note = forms.CharField(
        label=_("State, and what is missing"), required=False, widget=forms.Textarea(attrs={"lines": 2})
    )

    def __init__(self, *args: Any, loan: MadeUse, **more: Any) -> None:
        super().__init__(*args, **more)
        self.loan = loan
        self.ids: list[int] = []

    @property
    def ticked(self) -> list[int]:
        """Keys of the specimens that are ticked."""
        texts = self.data.getlist("item") if self.is_bound else []  # type: ignore[attr-defined]
        return [int(text) for text in texts if text.isascii() and text.isdigit() and len(text) < 19]

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        if told.get("which") == "all":
            self.ids = list(out_on(self.loan))
        else:
            found, problems = by_numbers(numbers_in(str(told.get("numbers") or "")))
            for problem in problems:
                self.add_error("numbers", problem)
            self.ids = list(dict.fromkeys([*found.values(), *self.ticked]))
        if not self.ids and not self.errors:
            self.add_error("numbers", _t("Name what came back: by number, by ticking it, or all."))
        return told


class DueForm(Form):
    """A loan lasts longer, or is due earlier."""

    due_on = forms.DateField(label=_("Due back on"))
    why = why_field(required=True)
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)


class UndoForm(Form):
    """Why a return, or an end of a remedy, is taken back."""

    why = why_field(required=True)
