"""What is done to many specimens at once: a paper linked, a search recorded."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.engine.tables import Layer, SearchState
from governance.papers.models import LAYER_NAMES, Paper
from governance.verdicts.models import SEARCH_STATES


class PaperChoiceForm(Form):
    """The paper that is to speak for the chosen specimens, by its reference."""

    paper = forms.CharField(label=_("Reference of the paper"), max_length=100, help_text=_("As it stands on the paper"))
    why = forms.CharField(
        label=_("Reason"), max_length=200, required=False, help_text=_("Kept with the link, such as “named in annex 2”")
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["paper"].widget.attrs |= {"list": "papers", "autocomplete": "off"}

    def clean_paper(self) -> Paper:
        text = self.cleaned_data["paper"]
        found = Paper.objects.filter(reference__iexact=text).first() or self._by_key(text)
        if found is None:
            raise forms.ValidationError(_("No paper has the reference “%(text)s”. Register it first.") % {"text": text})
        return found

    @staticmethod
    def _by_key(text: str) -> Paper | None:
        is_key = text.isascii() and text.isdigit() and len(text) < 19
        return Paper.objects.filter(pk=int(text)).first() if is_key else None


class SearchForm(Form):
    """One search, for all the accessions and parts of the chosen specimens."""

    layer = forms.TypedChoiceField(
        label=_("For the papers of"), coerce=lambda text: Layer(int(text)),
        choices=[("", _("Choose a layer")), *((int(layer), name) for layer, name in LAYER_NAMES.items())],
    )  # fmt: skip
    state = forms.TypedChoiceField(
        label=_("What it came to"), coerce=lambda text: SearchState(int(text)), widget=forms.RadioSelect,
        choices=[choice for choice in SEARCH_STATES if choice[0] != SearchState.NOT_SEARCHED],
    )  # fmt: skip
    searched_by = forms.CharField(label=_("Searched by"), max_length=200)
    searched_on = forms.DateField(label=_("Searched on"))
    note = forms.CharField(
        label=_("Where, and what was found"), required=False, widget=forms.Textarea,
        help_text=_("Such as the files gone through and the people asked"),
    )  # fmt: skip

    def __init__(self, *args: Any, today: date, by: Any, layer: str = "", **more: Any) -> None:
        known = {"searched_by": by.shown_name, "searched_on": today}
        known |= {"layer": int(of)} if (of := next((x for x in Layer if x.code == layer), None)) is not None else {}
        super().__init__(*args, initial=known, **more)
        self.today = today

    def clean_searched_on(self) -> date:
        day: date = self.cleaned_data["searched_on"]
        if day > self.today:
            raise forms.ValidationError(_("The day of the search is not yet come: today is %(today)s.") % {
                "today": self.today.isoformat(),
            })  # fmt: skip
        return day
