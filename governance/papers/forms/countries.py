"""A country that a person types."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t

from governance.papers.countries import country_words
from governance.papers.forms.places import code_of


class CountryField(forms.CharField):
    """A country by code or name; the page offers the known ones in a list ``countries-known``."""

    def __init__(self, **more: Any) -> None:
        super().__init__(**{"required": False, "max_length": 100} | more)
        self.widget.attrs.update({"list": "countries-known", "autocomplete": "off"})

    def clean(self, value: Any) -> str:
        """The code, "" where blank."""
        text = str(super().clean(value) or "").strip()
        code = (code_of(text) or code_of(text.upper())) if text else ""
        if text and len(code) != 2:
            words = _t("“%(text)s” is no country of ISO 3166-1. Write its two letters, such as SE, or its name.")
            raise ValidationError(words % {"text": text[:60]})
        return code

    def prepare_value(self, value: Any) -> Any:
        """A code as its box shows it: ``Costa Rica (CR)``."""
        return country_words(value) if isinstance(value, str) and len(value) == 2 else value
