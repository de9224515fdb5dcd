"""What a version says, as a form: days, lists one a line, people, caps."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.papers.forms import lines
from governance.papers.models import PaperVersion, VersionCap

_MOST_ROWS = 14


def _lines(label: Any, hint: Any, rows: int = 3) -> forms.CharField:
    widget = forms.Textarea(attrs={"lines": rows})
    return forms.CharField(label=label, help_text=hint, required=False, max_length=200_000, widget=widget)


class VersionForm(Form):
    """Blank boxes set no limit."""

    in_force_from = forms.DateField(
        label=_("Valid from"), required=False, help_text=_("Blank: not known; the day of issue is never taken for it")
    )
    in_force_to = forms.DateField(label=_("Valid to"), required=False, help_text=_("Blank: until told otherwise"))
    note = forms.CharField(
        label=_("What changed"), required=False, max_length=300, help_text=_("Such as: adds light trap")
    )
    taxa = _lines(_("Taxa"), _("One a line, any rank. “not Cordulegastridae” is excluded. Blank: all"))
    methods = _lines(_("Methods"), _("One a line. “not electrofishing” is forbidden. Blank: all"))
    people = _lines(_("People"), _("One a line, as on the paper; the holder counts as named. Blank: anybody"))
    assistants = forms.ChoiceField(
        label=_("Others who help"), required=False,
        choices=[("", _("the paper does not say")), *PaperVersion.Assistants.choices],
    )  # fmt: skip
    closed_seasons = _lines(_("Closed seasons"), _("One a line, every year: 1 March to 31 August"), 2)
    sexes = _lines(_("Sexes"), _("One a line. Blank: all"), 2)
    life_stages = _lines(_("Life stages"), _("One a line. “not larva” is forbidden. Blank: all"), 2)
    conditions = _lines(
        _("Conditions"),
        _("One a line, in the words of the paper; “p. 3: ...” gives the page. What it asks for stands behind it: "
          "[notice 7 days] before the first day in the field, [report by 31 January] of each year"),
        4,
    )  # fmt: skip

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for field in self:
            if isinstance(field.field.widget, forms.Textarea):
                lines_there = str(field.value() or "").count("\n") + 2
                rows = field.field.widget.attrs["rows"]
                field.field.widget.attrs["rows"] = min(max(rows, lines_there), _MOST_ROWS)

    def clean_taxa(self) -> dict[str, list[Any]]:
        return lines.read_taxa(self.cleaned_data["taxa"])

    def clean_methods(self) -> dict[str, list[str]]:
        return lines.read_words(self.cleaned_data["methods"])

    def clean_sexes(self) -> dict[str, list[str]]:
        return lines.read_words(self.cleaned_data["sexes"])

    def clean_life_stages(self) -> dict[str, list[str]]:
        return lines.read_words(self.cleaned_data["life_stages"])

    def clean_closed_seasons(self) -> list[list[str]]:
        return lines.read_seasons(self.cleaned_data["closed_seasons"])

    def clean_conditions(self) -> list[dict[str, Any]]:
        return lines.read_conditions(self.cleaned_data["conditions"])

    def object(self) -> dict[str, Any]:
        """The version as the object of the exchange file, without places and caps."""
        told = self.cleaned_data
        people = {"named": lines.filled_lines(told["people"])}
        if told["assistants"]:
            people["assistants"] = told["assistants"]
        return {
            "in_force_from": _day(told["in_force_from"]), "in_force_to": _day(told["in_force_to"]),
            "taxa": told["taxa"], "methods": told["methods"], "people": people,
            "closed_seasons": told["closed_seasons"], "sexes": told["sexes"], "life_stages": told["life_stages"],
            "conditions": told["conditions"], "note": told["note"],
        }  # fmt: skip


def version_initial(value: Mapping[str, Any]) -> dict[str, Any]:
    """A version of the register as the form shows it."""
    people = value.get("people") or {}
    return {
        "in_force_from": value.get("in_force_from"), "in_force_to": value.get("in_force_to"),
        "note": value.get("note", ""), "taxa": lines.taxa_text(value.get("taxa")),
        "methods": lines.words_text(value.get("methods")), "people": "\n".join(people.get("named", ())),
        "assistants": people.get("assistants", ""), "sexes": lines.words_text(value.get("sexes")),
        "closed_seasons": lines.seasons_text(value.get("closed_seasons", ())),
        "life_stages": lines.words_text(value.get("life_stages")),
        "conditions": lines.conditions_text(value.get("conditions", ())),
    }  # fmt: skip


class CapForm(Form):
    """One limit on numbers; a blank limit is no limit."""

    limit = forms.IntegerField(label=_("At most"), required=False, min_value=0, max_value=10**12)
    each = forms.ChoiceField(label=_("counted"), required=False, choices=VersionCap.Each.choices)
    taxon = forms.CharField(label=_("of"), required=False, max_length=250, help_text=_("Blank: of everything"))
    per = forms.ChoiceField(label=_("per"), required=False, choices=VersionCap.Per.choices)

    def clean(self) -> dict[str, Any]:
        """Under ``object`` the cap of the exchange file, or None."""
        told = super().clean() or {}
        told["object"] = None
        if told.get("limit") is None:
            if told.get("taxon") and "limit" not in self.errors:
                self.add_error("limit", ValidationError(_t("Write the number, or leave the taxon blank.")))
            return told
        taxon = {"taxon": lines.read_taxon(told["taxon"])} if told.get("taxon") else {}
        told["object"] = taxon | {
            "each": told.get("each") or "together", "per": told.get("per") or "paper", "limit": told["limit"],
        }  # fmt: skip
        return told


def cap_initial(value: Mapping[str, Any]) -> dict[str, Any]:
    """A cap of the register as a row of the form."""
    return dict(value) | {"taxon": lines.taxon_text(value["taxon"]) if value.get("taxon") else ""}


CapRows = forms.formset_factory(CapForm, extra=0, min_num=0, max_num=200, absolute_max=200)


def _day(day: Any) -> str | None:
    return day.isoformat() if day else None
