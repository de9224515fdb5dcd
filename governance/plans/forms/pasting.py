"""Many stops at once: a pasted table or its file, a file of places; looked at first, then taken."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.intake.problems import FileProblems
from accessions.people.entry_forms import Form
from governance.papers.areas import MAX_AREA_BYTES
from governance.papers.forms.countries import CountryField
from governance.papers.forms.places import LengthField
from governance.plans.forms.map_file import places_text, read_places
from governance.plans.forms.sending import sent_with
from governance.plans.forms.stop_table import ReadStops, read_stop_table
from governance.plans.models import FieldPlan

MOST_TEXT: Final = 1_000_000
MOST_FILE_BYTES: Final = 8 * 1024**2
MOST_PLACES: Final = 2_000_000
"""Characters of the places that the page sends back, below what Django takes of a form."""


class _TakingForm(Form):
    """What both ways share: whether the stops are added or become those of the plan."""

    ADD, REPLACE = "add", "replace"

    how = forms.ChoiceField(
        label=_("The stops of the plan"), required=False, widget=forms.RadioSelect,
        choices=[(ADD, _("stay; these are added after them")),
                 (REPLACE, _("become these: a stop of the same name is changed and keeps its papers and decisions, "
                             "the others go"))],
    )  # fmt: skip
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, plan: FieldPlan, **more: Any) -> None:
        super().__init__(*args, **more)
        self.read: ReadStops | None = None
        if self.is_bound and not self.data.get(self.add_prefix("how")):
            self._keep("how", self.ADD)  # asked only once something was read
        if not plan.stops.exists():
            self.fields["how"].widget = forms.HiddenInput()

    @property
    def is_replacing(self) -> bool:
        """Whether the stops of the plan become these."""
        return bool(self.cleaned_data.get("how") == self.REPLACE)

    def _keep(self, field: str, text: str) -> None:
        """What was read of a file stays as text, since a browser forgets a file when the page comes back."""
        self.data = sent_with(self, field, text)


class PasteForm(_TakingForm):
    """A table of stops. Nothing is saved by reading it."""

    text = forms.CharField(
        label=_("Table"), required=False, max_length=MOST_TEXT, strip=False,
        widget=forms.Textarea(attrs={"lines": 10, "wrap": "off", "spellcheck": "false"}),
        help_text=_("Copied from a spreadsheet with its header row, or parted by commas"),
    )  # fmt: skip
    file = forms.FileField(label=_("or its file"), required=False, help_text=_("CSV, TSV, XLSX or ODS"))
    field_order = ["text", "file", "how", "seen"]

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        text, file = str(told.get("text") or ""), told.get("file")
        if not file and not text.strip():
            if not self.errors:
                self.add_error("text", _t("Paste a table with a header row, or choose its file."))
            return told
        _refuse_large(self, file, MOST_FILE_BYTES)
        try:
            if file and not self.errors:
                self.read, written = read_stop_table(file.read(), file.name)
                self._keep("text", written)
            elif not self.errors:
                self.read, _written = read_stop_table(text.encode(), str(_t("the table")))
        except FileProblems as problems:
            self.read = ReadStops(problems=problems.problems)
        return told


class PlacesForm(_TakingForm):
    """A file of places, or what was read of it. radius_m, country: for all that the file gives none of."""

    file = forms.FileField(
        label=_("File"), required=False, help_text=_("GPX, GeoJSON, KML, KMZ or a zipped shapefile of areas")
    )
    places = forms.CharField(required=False, widget=forms.HiddenInput, max_length=MOST_PLACES)
    radius_m = LengthField(
        label=_("Radius around each point"), required=False, max_length=30,
        help_text=_("How far from it you will collect: 500, or 2 km. Blank: not known yet"),
    )  # fmt: skip
    country = CountryField(label=_("Country of all of them"))
    field_order = ["file", "places", "radius_m", "country", "how", "seen"]

    def clean_radius_m(self) -> float | None:
        radius_m: float | None = self.cleaned_data["radius_m"]
        if radius_m is not None and not radius_m > 0:
            raise ValidationError(_t("The radius is more than zero metres."))
        return radius_m

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        file, places = told.get("file"), str(told.get("places") or "")
        if not file and not places:
            if not self.errors:
                self.add_error("file", _t("Choose a file of places."))
            return told
        _refuse_large(self, file, MAX_AREA_BYTES)
        if self.errors:
            return told
        try:
            read = read_places(file.read(), file.name) if file else read_places(places.encode(), str(_t("the file")))
        except FileProblems as problems:
            self.read = ReadStops(problems=problems.problems)
            return told
        written = places_text(read)
        if len(written) > MOST_PLACES:
            self.add_error("file", _t("The outlines have too many corners to be loaded together. Load the file in "
                                      "parts, or draw them with fewer corners."))  # fmt: skip
            return told
        self._keep("places", written)
        self.read = replace(read, stops=tuple(replace(one, draft=self._completed(one.draft)) for one in read.stops))
        return told

    def _completed(self, draft: Any) -> Any:
        values = dict(draft.values)
        if values["longitude_deg"] is not None:
            values["radius_m"] = self.cleaned_data.get("radius_m")
        if country := self.cleaned_data.get("country"):
            values["country"] = country
        return replace(draft, values=values)


def _refuse_large(form: Form, file: Any, most: int) -> None:
    if file and file.size > most:
        words = _t("The file has %(size)d MB; at most %(most)d are read here.")
        form.add_error("file", words % {"size": file.size // 1024**2, "most": most // 1024**2})
