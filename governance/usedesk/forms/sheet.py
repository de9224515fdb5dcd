"""How a terms sheet is printed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.usedesk.sheet.contents import Sheet
from governance.usedesk.sheet.language import LANGUAGES, language_for

_LISTS = [("with", _("With a code beside each number")), ("without", _("Short, without codes"))]


class SheetForm(Form):
    """The language of the sheet, and whether a code stands beside each number. Nothing chosen: as is usual."""

    language = forms.ChoiceField(label=_("Language"), choices=list(LANGUAGES.items()), required=False)
    codes = forms.ChoiceField(label=_("List"), choices=_LISTS, required=False)

    def __init__(self, data: Any, sheet: Sheet) -> None:
        filled = data.copy()
        usual = {"language": language_for(sheet.recipient.country if sheet.recipient else ""), "codes": "with"}
        for name, value in usual.items():
            if not filled.get(name):
                filled[name] = value
        super().__init__(filled)

    @property
    def code(self) -> str:
        return str(self.cleaned_data["language"])

    @property
    def with_codes(self) -> bool:
        return bool(self.cleaned_data["codes"] == "with")
