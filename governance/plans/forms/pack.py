"""What goes into a field pack."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from governance.plans.pack.language import languages
from governance.plans.planned_rows import LoadedPlan


class PackForm(forms.Form):
    """Which stops, in which language, with or without copies. Nothing chosen: all, in that of the plan."""

    stops = forms.TypedMultipleChoiceField(
        label=_("Stops"), coerce=int, required=False, widget=forms.CheckboxSelectMultiple, help_text=_("None: all")
    )
    language = forms.ChoiceField(label=_("Language"), required=False, widget=forms.Select({"class": "in"}))
    scans = forms.ChoiceField(
        label=_("Copies of the papers"), required=False, widget=forms.Select({"class": "in"}),
        choices=[("with", _("With copies of the papers")), ("without", _("Without copies"))],
    )  # fmt: skip

    def __init__(self, data: Any, loaded: LoadedPlan) -> None:
        super().__init__(data)
        self._plan_language = loaded.plan.language
        self.fields["stops"].choices = [  # type: ignore[attr-defined]  # a choice field
            (one.stop.pk, f"{number}. {one.stop.name}") for number, one in enumerate(loaded.stops, 1)
        ]
        self.fields["language"].choices = languages()  # type: ignore[attr-defined]  # a choice field
        self.initial = {"language": loaded.plan.language, "scans": "with"}

    @property
    def code(self) -> str:
        """The language chosen, else that of the plan."""
        return str(self.cleaned_data.get("language") or self._plan_language)

    @property
    def stops_chosen(self) -> list[int] | None:
        """Keys of stops; None for all."""
        return list(self.cleaned_data.get("stops") or []) or None

    @property
    def with_scans(self) -> bool:
        return self.cleaned_data.get("scans") != "without"
