"""On which page of the paper each reading of a version stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.papers.models import ReadingPage

PREFIX: Final = "page_"
_LAST_PAGE: Final = 9999


class PagesForm(Form):
    """One small box a group of readings: counted in the paper, from 1; blank: not noted."""

    def __init__(self, data: Any = None, *, pages: Mapping[str, int] | None = None) -> None:
        super().__init__(data, initial={f"{PREFIX}{subject}": page for subject, page in (pages or {}).items()})

    page_valid, page_places, page_taxa, page_methods, page_people, page_seasons, page_stages, page_caps = (
        forms.IntegerField(
            label=label, required=False, min_value=1, max_value=_LAST_PAGE,
            widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "in s w-page num", "autocomplete": "off"}),
        )
        for label in (
            _("Page of the days"), _("Page of the places"), _("Page of the taxa"), _("Page of the methods"),
            _("Page of the people"), _("Page of the closed seasons"), _("Page of the sexes and life stages"),
            _("Page of the numbers"),
        )
    )  # fmt: skip

    def pages(self) -> dict[str, int]:
        """By subject the page, of those that were noted."""
        told = {subject: self.cleaned_data.get(f"{PREFIX}{subject}") for subject in ReadingPage.Subject.values}
        return {subject: page for subject, page in told.items() if page}
