"""What is done from a cell of the legal file: a paper linked, a search recorded; and papers linked in bulk."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Accession, Part
from accessions.people.entry_forms import why_field
from governance.engine.tables import Layer
from governance.papers.actions.linking import Targets
from governance.papers.forms.lines import filled_lines
from governance.papers.models import LAYER_NAMES, Paper
from governance.verdicts.forms.bulk import PaperChoiceForm, SearchForm

MOST_ACCESSIONS = 2000
"""Accessions to which one paper is linked at once."""

_MOST_NAMED = 12


class AttachForm(PaperChoiceForm):
    """A paper, and what of the accession it is linked to."""

    picked = forms.MultipleChoiceField(label=_("Link it to"), widget=forms.CheckboxSelectMultiple, required=False)

    def __init__(self, *args: Any, layer: Layer, choices: list[str], **more: Any) -> None:
        super().__init__(*args, **more)
        self.layer = layer
        self.fields["picked"].choices = [(choice, choice) for choice in choices]  # type: ignore[attr-defined]

    def clean_paper(self) -> Paper:
        paper = super().clean_paper()
        if not paper.layers >> self.layer & 1:
            raise forms.ValidationError(
                _("%(paper)s answers %(has)s, not %(wanted)s. Choose another paper, or change its layers first.")
                % {"paper": paper, "has": _layer_words(paper.layer_list), "wanted": _layer_words([self.layer])}
            )
        return paper

    def clean_picked(self) -> list[str]:
        picked: list[str] = self.cleaned_data["picked"]
        if not picked:
            raise forms.ValidationError(_("Tick at least one: the whole accession, a part, a site or an event."))
        return picked

    @property
    def targets(self) -> Targets:
        """What was ticked, as primary keys."""
        keys: dict[str, set[int]] = {}
        for choice in self.cleaned_data["picked"]:
            kind, _mark, key = choice.partition(":")
            keys.setdefault(kind, set()).add(int(key))
        return Targets(**keys)  # type: ignore[arg-type]


def _layer_words(layers: list[Layer]) -> str:
    return ", ".join(str(LAYER_NAMES[layer]) for layer in layers)


class FileSearchForm(SearchForm):
    """A search for one layer, of the whole accession or a part."""

    of_part = forms.ModelChoiceField(
        label=_("Searched for"), queryset=Part.objects.none(), required=False, empty_label=_("Whole accession")
    )
    field_order = ("of_part", "state", "searched_by", "searched_on", "note")

    def __init__(self, *args: Any, accession: Accession, part: Part | None, **more: Any) -> None:
        super().__init__(*args, **more)
        del self.fields["layer"]
        field: Any = self.fields["of_part"]
        field.queryset = accession.parts.all()
        field.label_from_instance = lambda own: f"{own.letter} {own.title}".strip()
        self.initial["of_part"] = part.pk if part else None


class BulkAttachForm(PaperChoiceForm):
    """A paper, and the numbers of many accessions; all numbers that are wrong are told at once."""

    accessions = forms.CharField(
        label=_("Accessions"), max_length=200_000, widget=forms.Textarea(attrs={"lines": 12}),
        help_text=_("One number a line, as they stand in the book"),
    )  # fmt: skip
    why = why_field(required=False)
    field_order = ("paper", "accessions", "why")

    def clean_accessions(self) -> list[Accession]:
        numbers = list(dict.fromkeys(filled_lines(self.cleaned_data["accessions"])))
        found = _by_number(numbers[: MOST_ACCESSIONS + 1])
        unknown = [number for number in numbers[: MOST_ACCESSIONS + 1] if number.casefold() not in found]
        problems = []
        if len(numbers) > MOST_ACCESSIONS:
            problems.append(
                _("%(n)d numbers, at most %(most)d at once: link the paper in several goes.")
                % {"n": len(numbers), "most": MOST_ACCESSIONS}
            )
        if unknown:
            problems.append(_unknown_words(unknown))
        if not numbers:
            problems.append(str(_("Write at least one accession number.")))
        if problems:
            raise forms.ValidationError(problems)
        return list({found[number.casefold()].pk: found[number.casefold()] for number in numbers}.values())


def _by_number(numbers: list[str]) -> dict[str, Accession]:
    """Accessions by number, whatever the case of the letters. The exact number wins over one that differs in case."""
    wanted = {number.casefold() for number in numbers}
    exact = {row.number.casefold(): row for row in Accession.objects.filter(number__in=numbers)}
    if len(exact) == len(wanted):
        return exact
    loose = {row.number.casefold(): row for row in Accession.objects.all() if row.number.casefold() in wanted}
    return {**loose, **exact}


def _unknown_words(unknown: list[str]) -> str:
    shown = ", ".join(unknown[:_MOST_NAMED])
    more = len(unknown) - _MOST_NAMED
    rest = _(" and %(n)d more") % {"n": more} if more > 0 else ""
    return str(_("No accession has these numbers: %(shown)s%(rest)s.") % {"shown": shown, "rest": rest})
