"""What people type of specimens: the words of the label, counts, names."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, Final

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.material.hints import said_hint
from accessions.material.models import Accession, Delivery, Part, SamplingEvent, Specimen
from accessions.material.queries.specimens import OFFERED
from accessions.material.reading import read_event
from accessions.people.entry_forms import Form, RecordForm, why_field

EVENT_GROUPS: Final = (
    (_("When"), ("eventDate", "verbatimEventDate", "year", "month", "day")),
    (
        _("Where"),
        (
            "countryCode", "stateProvince", "locationID", "siteName", "locality", "decimalLatitude",
            "decimalLongitude", "geodeticDatum", "coordinateUncertaintyInMeters", "coordinatePrecision",
            "verbatimCoordinates", "verbatimLatitude", "verbatimLongitude", "verbatimCoordinateSystem", "verbatimSRS",
            "footprintWKT", "footprintSRS", "dataGeneralizations", "informationWithheld",
        ),
    ),
    (_("How and by whom"), ("eventID", "samplingProtocol", "recordedBy")),
)  # fmt: skip
"""The written columns of an event in the order in which a label is read."""

EVENT_LABELS: Final = {
    "eventDate": _("Date"), "verbatimEventDate": _("Date as on the label"), "year": _("Year"), "month": _("Month"),
    "day": _("Day"), "countryCode": _("Country (two letters)"), "stateProvince": _("State or province"),
    "locationID": _("Site code"), "siteName": _("Site name"), "locality": _("Locality"),
    "decimalLatitude": _("Latitude"), "decimalLongitude": _("Longitude"), "geodeticDatum": _("Datum"),
    "coordinateUncertaintyInMeters": _("Uncertainty (m)"), "coordinatePrecision": _("Precision (degrees)"),
    "verbatimCoordinates": _("Coordinates as on the label"), "verbatimLatitude": _("Latitude as on the label"),
    "verbatimLongitude": _("Longitude as on the label"), "verbatimCoordinateSystem": _("System of the coordinates"),
    "verbatimSRS": _("Datum of the label"), "footprintWKT": _("Outline (WKT)"),
    "footprintSRS": _("Datum of the outline"),
    "dataGeneralizations": _("Generalised how"), "informationWithheld": _("Withheld"), "eventID": _("Event number"),
    "samplingProtocol": _("Methods"), "recordedBy": _("People"),
}  # fmt: skip

NAME_LABELS: Final = {
    "scientificName": _("Name"), "scientificNameAuthorship": _("Author of the name"),
    "identificationQualifier": _("Qualifier, such as cf."), "taxonRank": _("Rank"), "order": _("Order"),
    "family": _("Family"), "genus": _("Genus"), "kingdom": _("Kingdom"),
}  # fmt: skip

_LONG: Final = {"footprintWKT", "dataGeneralizations", "informationWithheld"}


def _written(term: str, label: Any) -> forms.CharField:
    area = forms.Textarea(attrs={"rows": 2}) if term in _LONG else forms.TextInput(attrs={"autocomplete": "off"})
    return forms.CharField(label=label, required=False, max_length=1_000_000 if term in _LONG else 1000, widget=area)


class EventFields(Form):
    """The written columns of an event; what cannot be read is said, and kept as written all the same."""

    shown: tuple[str, ...] = tuple(EVENT_LABELS)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for term in self.shown:
            self.fields[term] = _written(term, EVENT_LABELS[term])
            self.fields[term].widget.attrs.setdefault("class", "in")

    def written(self) -> dict[str, str]:
        """Text by term, trimmed."""
        return {term: self.cleaned_data[term] for term in self.shown}

    def hints(self) -> list[str]:
        """Clauses on what could not be read."""
        read = read_event(self.written())
        return [f"{EVENT_LABELS.get(term, term)}: {said_hint(hint)}" for term, hint in read.hints]


class EventForm(EventFields):
    """Changes the statement of the event of one specimen, or of all that share it."""

    everyone = forms.ChoiceField(
        label=_("For"),
        choices=[("one", _("this specimen alone")), ("all", _("all that share the event"))],
        initial="one",
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["why"] = why_field(required=True)
        self.fields["why"].widget.attrs["class"] = "in"

    def groups(self) -> Iterable[tuple[Any, list[Any]]]:
        """The fields by what they tell."""
        return [(title, [self[term] for term in terms]) for title, terms in EVENT_GROUPS]


class SpecimenForm(RecordForm):
    """The facts of one specimen beside event and name."""

    taken_from = forms.CharField(
        label=_("Taken from"),
        required=False,
        max_length=200,
        help_text=_("Catalogue number of the specimen that a leg, an extract or a slide comes from"),
    )

    class Meta:
        model = Specimen
        fields = (
            "catalog_number", "kind", "part", "delivery", "individual_count", "count_range", "unit",
            "organism_quantity", "sex", "life_stage", "preparation", "basis_of_record", "remarks",
        )  # fmt: skip
        help_texts = {"count_range": _("Such as 300-500"), "unit": _("What is counted, such as lot")}

    def __init__(self, *args: Any, accession: Accession, may_move: bool = True, **more: Any) -> None:
        """may_move: the person may move it to another part, to which other papers may be linked."""
        super().__init__(*args, **more)
        _choose_from(self.fields["part"], accession.parts.all(), _part_label)
        self.fields["part"].disabled = not may_move
        _choose_from(self.fields["delivery"], accession.deliveries.all(), _delivery_label)
        parent = self.instance.parent if self.instance.parent_id else None
        self.fields["taken_from"].initial = parent.catalog_number if parent else ""

    def clean_taken_from(self) -> Specimen | None:
        return _specimen_numbered(self.cleaned_data["taken_from"])

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        self.instance.parent = cleaned.get("taken_from")
        return cleaned

    def values(self) -> dict[str, Any]:
        values = super().values()
        if self.is_new or "taken_from" in self.changed_data:
            values["parent"] = self.cleaned_data["taken_from"]
        return values


class DeterminationForm(Form):
    """A new determination."""

    identified_by = forms.CharField(label=_("Identified by"), required=False, max_length=300)
    date_identified = forms.CharField(label=_("Identified on"), required=False, max_length=100)
    remarks = forms.CharField(label=_("Remarks"), required=False, max_length=1000)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for term, label in NAME_LABELS.items():
            self.fields[term] = _written(term, label)
            self.fields[term].widget.attrs["class"] = "in"
        self.fields["why"] = why_field(required=True)
        self.fields["why"].widget.attrs["class"] = "in"
        self.order_fields([*NAME_LABELS, "identified_by", "date_identified", "remarks", "why"])

    def clean_scientificName(self) -> str:
        name = str(self.cleaned_data["scientificName"])
        if not name:
            raise forms.ValidationError(_("Write the name, as the label or the determiner has it."))
        return name

    def written(self) -> dict[str, str]:
        """The name, text by term."""
        return {term: self.cleaned_data[term] for term in NAME_LABELS}


class LabelForm(EventFields):
    """One label, typed quickly: what a label has, in its order."""

    shown = (
        "eventID", "eventDate", "verbatimEventDate", "countryCode", "locationID", "siteName", "locality",
        "decimalLatitude", "decimalLongitude", "geodeticDatum", "coordinateUncertaintyInMeters",
        "verbatimCoordinates", "samplingProtocol", "recordedBy",
    )  # fmt: skip

    catalog_number = forms.CharField(label=_("Catalogue number"), required=False, max_length=200)
    kind = forms.ChoiceField(label=_("Kind"), choices=Specimen.Kind.choices, initial=Specimen.Kind.SPECIMEN)
    taken_from = forms.CharField(label=_("Taken from"), required=False, max_length=200)
    part: Any = forms.ModelChoiceField(label=_("Part"), queryset=None, required=False)
    scientificName = forms.CharField(label=_("Name"), required=False, max_length=1000)
    identified_by = forms.CharField(label=_("Identified by"), required=False, max_length=300)
    individual_count = forms.CharField(label=_("Count"), required=False, max_length=200)
    count_range = forms.CharField(label=_("Range of the count"), required=False, max_length=200)
    sex = forms.CharField(label=_("Sex"), required=False, max_length=200)
    life_stage = forms.CharField(label=_("Life stage"), required=False, max_length=200)
    preparation = forms.CharField(label=_("Preparation"), required=False, max_length=200)

    OF_SPECIMEN = (
        "catalog_number", "kind", "taken_from", "scientificName", "identified_by", "individual_count", "count_range",
        "sex", "life_stage", "preparation", "part",
    )  # fmt: skip

    def __init__(self, *args: Any, accession: Accession, **more: Any) -> None:
        super().__init__(*args, **more)
        _choose_from(self.fields["part"], accession.parts.all(), _part_label)
        self.fields["catalog_number"].widget.attrs["autofocus"] = True
        for name in ("catalog_number", "taken_from"):  # where a reader of labels types, which ends with Enter
            self.fields[name].widget.attrs["data-after-read"] = self["scientificName"].id_for_label
        for name in OFFERED:
            self.fields[name].widget.attrs["list"] = f"words-{name}"

    def clean_taken_from(self) -> Specimen | None:
        return _specimen_numbered(self.cleaned_data["taken_from"])

    def clean_catalog_number(self) -> str:
        number = str(self.cleaned_data["catalog_number"])
        if number and Specimen.objects.filter(catalog_number=number).exists():
            raise forms.ValidationError(_("Another specimen has this catalogue number."))
        return number

    def values(self) -> dict[str, Any]:
        """The fields of the specimen itself."""
        names = (
            "catalog_number",
            "kind",
            "part",
            "individual_count",
            "count_range",
            "sex",
            "life_stage",
            "preparation",
        )
        return {name: self.cleaned_data[name] for name in names} | {"parent": self.cleaned_data["taken_from"]}

    def specimen_fields(self) -> list[Any]:
        return [self[name] for name in self.OF_SPECIMEN]

    def event_fields(self) -> list[Any]:
        return [self[term] for term in self.shown]


def copied_down(last: Specimen | None) -> dict[str, Any]:
    """What the next label takes over from the last: the event, who identified it, the part; never number or name."""
    if last is None:
        return {}
    event = {term: getattr(last.event, SamplingEvent.COLUMN_OF_TERM[term]) for term in LabelForm.shown}
    return event | {"part": last.part_id, "kind": last.kind if last.parent_id is None else Specimen.Kind.SPECIMEN}


def _choose_from(field: Any, rows: Any, label: Callable[[Any], str]) -> None:
    """Offer the rows of one accession, without its number before each."""
    field.empty_label = _("None")
    field.queryset = rows
    field.label_from_instance = label


def _part_label(part: Part) -> str:
    return f"{part.letter} {part.title}".strip()


def _delivery_label(delivery: Delivery) -> str:
    received = delivery.received_on.isoformat() if delivery.received_on else delivery.imported_on
    return f"{delivery.number}, {received}" if received else str(delivery.number)


def _specimen_numbered(number: str) -> Specimen | None:
    if not number:
        return None
    found = Specimen.objects.filter(catalog_number=number.strip()).first()
    if found is None:
        raise forms.ValidationError(
            _("No specimen has the number “%(number)s”. Enter that one first, or check the number.")
            % {"number": number}
        )
    return found
