"""What narrows the list of specimens, as it stands in its address."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.db import models
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Accession, Part, Specimen
from accessions.names.folding import folded
from accessions.names.models import Taxon
from accessions.sites.models import Site
from governance.engine.tables import Layer, Verdict
from governance.papers.models import LAYER_NAMES, Paper
from governance.verdicts.cells import Cell
from governance.verdicts.models import VERDICT_NAMES, Outcome
from governance.verdicts.queries.filters import Filters
from governance.verdicts.queries.list_order import DEFAULT_SORT, SORTS
from governance.verdicts.queries.search_words import Found, understand
from governance.verdicts.queries.specimens import Place
from governance.verdicts.reason_words import REASON_WORDS

SIZES = (25, 100)
UNCHECKED, ANY_LAYER = "unchecked", "any"

VERDICT_CHOICES = [
    *(
        (verdict.code, VERDICT_NAMES[verdict])
        for verdict in sorted(Verdict, key=lambda v: (v < Verdict.CANNOT_TELL, v))
    ),
    (UNCHECKED, _("Not yet checked")),
]
LAYER_CHOICES = [(ANY_LAYER, _("Any layer")), *((layer.code, LAYER_NAMES[layer]) for layer in Layer)]


class _RowField(forms.CharField):
    """A row of the register, named as people name it; its key is understood too, for links of pages.

    column "": only by its key.
    """

    def __init__(self, rows: type[models.Model], column: str, nothing: Any, **more: Any) -> None:
        super().__init__(required=False, max_length=300, **more)
        self.rows, self.column, self.nothing = rows, column, nothing

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        named: dict[str, Any] = {self.column: self.key(text)} if self.column else {"pk__in": []}
        found = self.rows._default_manager.filter(**named).first()
        if found is None and text.isascii() and text.isdigit() and len(text) < 19:
            found = self.rows._default_manager.filter(pk=int(text)).first()
        if found is None:
            raise forms.ValidationError(self.nothing, params={"text": text})
        return found

    def key(self, text: str) -> str:
        return text


class _FoldedRowField(_RowField):
    def key(self, text: str) -> str:
        return folded(text)


class SpecimenFilterForm(forms.Form):
    """Filters, search, order and page. Nothing is required, and nothing that is wrong is passed over in silence."""

    q = forms.CharField(label=_("Scan a label or search"), required=False, max_length=200)
    verdict = forms.MultipleChoiceField(
        label=_("Worst verdict"), required=False, choices=VERDICT_CHOICES, widget=forms.CheckboxSelectMultiple
    )
    layer = forms.MultipleChoiceField(
        label=_("On layer"), required=False, choices=LAYER_CHOICES, widget=forms.CheckboxSelectMultiple
    )
    code = forms.ChoiceField(
        label=_("Finding"), required=False, choices=[("", _("Any finding")), *REASON_WORDS.items()]
    )
    paper = _RowField(Paper, "reference", _("No paper has the reference “%(text)s”."), label=_("Paper"))
    accession = _RowField(Accession, "number", _("No accession has the number “%(text)s”."), label=_("Accession"))
    part = forms.CharField(label=_("Part"), required=False, max_length=20)
    site = _FoldedRowField(Site, "code_key", _("No site has the code “%(text)s”."), label=_("Site code"))
    taxon = _FoldedRowField(
        Taxon, "key", _("“%(text)s” is not in the classification of this register."), label=_("Taxon, any rank")
    )
    country = forms.CharField(label=_("Country, two letters"), required=False, max_length=2)
    year_from = forms.IntegerField(label=_("From year"), required=False, min_value=1500, max_value=9999)
    year_to = forms.IntegerField(label=_("To year"), required=False, min_value=1500, max_value=9999)
    kind = forms.ChoiceField(label=_("Kind"), required=False, choices=[("", _("Any kind")), *Specimen.Kind.choices])
    overruled = forms.BooleanField(label=_("Overruled by a person"), required=False)
    reason = _RowField(Outcome, "", _("This reason is no longer in the register."), widget=forms.HiddenInput)

    def __init__(self, data: QueryDict) -> None:
        self.asked = _completed(data)
        super().__init__(self.asked, auto_id="f_%s")
        for field in self.fields.values():
            if isinstance(field.widget, forms.TextInput | forms.NumberInput | forms.Select):
                field.widget.attrs.setdefault("class", "in s")
        self.fields["country"].widget.attrs |= {"class": "in s w-s", "autocapitalize": "characters"}
        for name in ("year_from", "year_to", "part"):
            self.fields[name].widget.attrs["class"] = "in s w-s num"

    def clean_country(self) -> str:
        return str(self.cleaned_data["country"]).upper()

    def clean(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        if cleaned.get("part"):
            cleaned["part"] = self._part(cleaned["part"], cleaned.get("accession"))
        first, last = cleaned.get("year_from"), cleaned.get("year_to")
        if first and last and last < first:
            self.add_error("year_to", _("The last year is before the first."))
        return cleaned

    def _part(self, text: str, accession: Accession | None) -> Part | None:
        if accession is None:
            self.add_error("part", _("Name the accession of the part, too."))
            return None
        found = accession.parts.filter(letter=text).first()
        if found is None:
            self.add_error("part", _("Accession %(number)s has no part “%(part)s”.") % {
                "number": accession.number, "part": text,
            })  # fmt: skip
        return found

    def filters(self) -> Filters:
        """What was asked for, the words of the search aside. A mistake lets nothing match: nobody acts on all by it."""
        if not self.is_valid():
            return Filters(nothing=True)
        data = self.cleaned_data
        return Filters(
            verdicts=tuple(int(verdict) for verdict in Verdict if verdict.code in data["verdict"]),
            unchecked=UNCHECKED in data["verdict"],
            layers=tuple(int(layer) for layer in Layer if layer.code in data["layer"]),
            any_layer=ANY_LAYER in data["layer"],
            part=data["part"] or None,
            **{name: data[name] for name in (
                "code", "paper", "accession", "site", "taxon", "country", "year_from", "year_to", "kind", "overruled",
                "reason",
            )},
        )  # fmt: skip

    def found(self) -> Found:
        """The filters with the words of the search in them."""
        filters = self.filters()
        text = self.words
        return understand(text, filters) if text and not filters.nothing else Found("", filters)

    @property
    def words(self) -> str:
        return (self.data.get("q") or "").strip()[:200]

    @property
    def sort(self) -> str:
        sort = self.data.get("sort", "")
        return sort if sort in SORTS else DEFAULT_SORT

    @property
    def size(self) -> int:
        return next((n for n in SIZES if str(n) == self.data.get("size")), SIZES[0])

    @property
    def place(self) -> Place:
        after, before = (_number(self.data.get(name)) for name in ("after", "before"))
        return Place(_number(self.data.get("page")) or 1, after, before if after is None else None)


def _completed(data: QueryDict) -> QueryDict:
    """``any=1`` of other pages' links is the layer "any"."""
    if "any" not in data:
        return data
    completed = data.copy()
    completed.pop("any")
    completed.setlistdefault("layer").append(ANY_LAYER)
    return completed


@dataclass(frozen=True)
class VerdictOption:
    """A verdict to choose, with how many stand at it if that is known. cell: None for those not yet checked."""

    code: str
    word: str
    cell: Cell | None
    is_chosen: bool
    count: int | None


def verdict_options(form: SpecimenFilterForm, counts: Mapping[str, int]) -> list[VerdictOption]:
    """The verdicts to choose from, those that need a look first."""
    chosen = form.asked.getlist("verdict")
    cells = {verdict.code: Cell(verdict) for verdict in Verdict}
    return [
        VerdictOption(code, str(word), cells.get(code), code in chosen, counts.get(code) if counts else None)
        for code, word in VERDICT_CHOICES
    ]


def _number(text: str | None) -> int | None:
    """Digits as a number; None for anything else, which shows the first page."""
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 19 else None
