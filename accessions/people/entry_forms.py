"""The look and the reason of every form that writes to the register."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, QueryDict
from django.utils.translation import gettext_lazy as _

from accessions.people.history import WHY_LENGTH


class DayInput(forms.DateInput):
    """A day: the browser's own calendar, and ISO 8601 on the wire."""

    input_type = "date"

    def __init__(self, **more: Any) -> None:
        super().__init__(format="%Y-%m-%d", **more)


class DressedForm(forms.BaseForm):
    """Gives the widgets the classes and the descriptions that the stylesheet and screen readers expect."""

    use_required_attribute = False  # errors come in words, all at once

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for field in self.fields.values():
            if isinstance(field, forms.DateField):
                field.widget = DayInput()
                field.widget.is_required = field.required
            if not isinstance(field.widget, forms.CheckboxInput | forms.RadioSelect | forms.CheckboxSelectMultiple):
                field.widget.attrs.setdefault("class", "in")
            if isinstance(field.widget, forms.Textarea):
                field.widget.attrs["rows"] = field.widget.attrs.get("lines", 3)

    @property
    def status(self) -> int:
        """The HTTP status of a page that shows the form: 422 with mistakes on it, so that programs can tell."""
        return 422 if self.is_bound and self.errors else 200

    def refuse(self, error: ValidationError) -> None:
        """Take over what an action refused; what is about a field that is not typed here stands above the form."""
        if not hasattr(error, "error_dict"):
            self.add_error(None, error)
            return
        for name, errors in error.error_dict.items():
            self.add_error(name if name in self.fields else None, errors)


def posted(request: HttpRequest) -> QueryDict | None:
    """What was sent, for a form: also nothing, as long as it was sent; None for a page that is only read."""
    return request.POST if request.method == "POST" else None


def offer(field: forms.Field, choices: Sequence[tuple[str, Any]]) -> None:
    """Give a field of choices what it offers."""
    field.choices = choices  # type: ignore[attr-defined]


class Form(DressedForm, forms.Form):
    """A form of no model."""


def why_field(*, required: bool) -> forms.CharField:
    """The reason of a change, kept in the history."""
    return forms.CharField(
        label=_("Reason"), required=required, max_length=WHY_LENGTH, help_text=_("Kept in the history with your name")
    )


class RecordForm(DressedForm, forms.ModelForm):  # type: ignore[type-arg]
    """A form of one record. Who changes a record says why; a new one needs no reason."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.is_new = self.instance.pk is None
        self.fields["why"] = why_field(required=not self.is_new)
        self.fields["why"].widget.attrs["class"] = "in"
        if self.is_new:
            self.fields["why"].widget = forms.HiddenInput()

    @property
    def why(self) -> str:
        """The reason; for a new record the word that says so."""
        return self.cleaned_data.get("why") or str(_("entered"))

    def values(self) -> dict[str, Any]:
        """What was typed: of a new record all, of an old one what the person changed."""
        names = self._meta.fields or ()
        return {name: self.cleaned_data[name] for name in names if self.is_new or name in self.changed_data}
