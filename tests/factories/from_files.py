"""Files of specimens and papers put into the register row by row, past the actions of the rooms.

It is written apart from the intake and the import of papers, so that a comparison of a check of files with the register
rests on neither.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from accessions.intake.specimens import SpecimenTable, read_specimens
from accessions.material.models import Accession, Delivery, Part, SamplingEvent, Specimen
from accessions.names.models import WrittenName
from accessions.sites.models import Site
from accessions.values import read_count
from governance.engine.tables import Layer, fold
from governance.papers.models import (
    Paper,
    PaperLink,
    PaperStatus,
    PaperVersion,
    VersionCap,
    VersionPerson,
    VersionPlace,
    VersionSeason,
    VersionTaxon,
    VersionWord,
)
from governance.verdicts.models import CountrySheet, SheetRule
from tests.factories.register import digest_of

NO_ACCESSION = "no accession number"
_DAYS = {"exportedOn": "exported_on", "importedOn": "imported_on", "transferredOn": "transferred_on"}
_COUNT = {
    "individualCount": "individual_count", "countRange": "count_range", "unit": "unit",
    "basisOfRecord": "basis_of_record", "organismQuantity": "organism_quantity",
}  # fmt: skip


def load_files(specimens: Path, papers: Path) -> None:
    """Both files."""
    load_specimens(read_specimens(specimens))
    load_papers(json.loads(papers.read_text("utf-8"))["papers"])


def require_everything() -> None:
    """A sheet that requires every layer everywhere, as a check of files does."""
    everywhere = CountrySheet.objects.create(country="")
    for layer in Layer:
        SheetRule.objects.create(sheet=everywhere, layer=int(layer), required=True, source="invented")


def load_specimens(table: SpecimenTable) -> None:
    """Every row of the file, in its order."""
    rows = [dict(zip(table.columns, cells, strict=True)) for cells in zip(*table.columns.values(), strict=True)]
    events: dict[tuple[str, ...], SamplingEvent] = {}
    names: dict[tuple[str, ...], WrittenName] = {}
    made = []
    for row in rows:
        accession = Accession.objects.get_or_create(number=row.get("accessionNumber", "") or NO_ACCESSION)[0]
        made.append(
            Specimen(
                catalog_number=row.get("catalogNumber", ""),
                accession=accession,
                delivery=_delivery(accession, row),
                event=_statement(events, SamplingEvent, row, reading="missing"),
                name=_statement(names, WrittenName, row),
                sex=row.get("sex", ""),
                life_stage=row.get("lifeStage", ""),
                **_counts(row),
            )
        )
    Specimen.objects.bulk_create(made)


def _statement(known: dict[tuple[str, ...], Any], model: Any, row: Mapping[str, str], **fields: Any) -> Any:
    """The one row of the model for what the row of the file states."""
    cells = tuple(row.get(term, "") for term in model.COLUMN_OF_TERM)
    if cells not in known:
        written = dict(zip(model.COLUMN_OF_TERM.values(), cells, strict=True))
        known[cells] = model.objects.create(digest=digest_of(*cells), **written, **fields)
    return known[cells]


def _delivery(accession: Accession, row: Mapping[str, str]) -> Delivery | None:
    days = {column: row.get(term, "") for term, column in _DAYS.items()}
    if not any(days.values()):
        return None
    found = Delivery.objects.filter(accession=accession, **days).first()
    return found or Delivery.objects.create(accession=accession, number=accession.deliveries.count() + 1, **days)


def _counts(row: Mapping[str, str]) -> dict[str, Any]:
    written = {column: row.get(term, "") for term, column in _COUNT.items()}
    read = read_count(**written)
    return {**written, "count_low": read.low, "count_high": read.high, "count_assumed": read.assumed}


def load_papers(papers: Sequence[Mapping[str, Any]]) -> None:
    """Papers as objects of the exchange file, in their order, with their links."""
    for value in papers:
        paper = Paper.objects.create(
            reference=value["reference"].strip(), kind=value["kind"], holder=value.get("holder", ""),
            layers=Paper.layers_of(Layer.from_code(code) for code in value["layers"]),
            jurisdiction=value.get("jurisdiction", ""),
        )  # fmt: skip
        for first, last in value.get("suspensions") or ():
            PaperStatus.objects.create(paper=paper, state="suspended", from_on=first, to_on=last)
        if value.get("revoked_on"):
            PaperStatus.objects.create(paper=paper, state="revoked", from_on=value["revoked_on"])
        for version in value.get("versions") or ():
            load_version(paper, version)
        _link(paper, value.get("covers") or {})


def load_version(paper: Paper, value: Mapping[str, Any]) -> PaperVersion:
    """One version with all its terms."""
    people = value.get("people") or {}
    version = PaperVersion.objects.create(
        paper=paper, in_force_from=value.get("in_force_from"), in_force_to=value.get("in_force_to"),
        assistants=people.get("assistants", ""),
    )  # fmt: skip
    terms: list[tuple[Any, Callable[[Any], dict[str, Any]], Any]] = [
        (VersionPlace, place_fields, value.get("places")),
        (VersionTaxon, _taxon, value.get("taxa")),
    ]
    terms += [(VersionWord, _word(subject), value.get(subject)) for subject in ("methods", "sexes", "life_stages")]
    for model, make, sides in terms:
        _add_sides(version, model, make, sides or {})
    for name in people.get("named") or ():
        VersionPerson.objects.create(version=version, name=name)
    for first, last in value.get("closed_seasons") or ():
        ends = [int(number) for text in (first, last) for number in text.split("-")]
        VersionSeason.objects.create(
            version=version, **dict(zip(("from_month", "from_day", "to_month", "to_day"), ends, strict=True))
        )
    for position, cap in enumerate(value.get("caps") or ()):
        VersionCap.objects.create(version=version, position=position, **_cap(cap))
    return version


def _add_sides(
    version: PaperVersion, model: Any, make: Callable[[Any], dict[str, Any]], sides: Mapping[str, Sequence[Any]]
) -> None:
    for side in ("include", "exclude"):
        for position, item in enumerate(sides.get(side) or ()):
            if item != "*":
                model.objects.create(version=version, position=position, excluded=side == "exclude", **make(item))


def place_fields(item: Mapping[str, Any]) -> dict[str, Any]:
    """Columns of a place of the exchange file."""
    fields = {key: item[key] for key in ("country", "subdivision", "site", "boundary_error_m") if key in item}
    if "geojson" in item:
        fields["geojson"] = json.dumps(item["geojson"])
    if "point" in item:
        fields |= {"longitude_deg": item["point"][0], "latitude_deg": item["point"][1], "radius_m": item["radius_m"]}
    return fields


def _taxon(item: Any) -> dict[str, Any]:
    return {"name": item["name"], "kingdom": item.get("kingdom", "")} if isinstance(item, dict) else {"name": item}


def _word(subject: str) -> Callable[[str], dict[str, Any]]:
    return lambda word: {"subject": subject, "word": word}


def _cap(item: Mapping[str, Any]) -> dict[str, Any]:
    fields: dict[str, Any] = {"limit": item["limit"]}
    fields |= {key: item[key] for key in ("each", "per") if key in item}
    if item.get("taxon") not in (None, "*"):
        taxon = _taxon(item["taxon"])
        fields |= {"taxon": taxon["name"], "kingdom": taxon.get("kingdom", "")}
    return fields


def _link(paper: Paper, covers: Mapping[str, Sequence[str]]) -> None:
    """Links to what is there; the engine finds sites by what specimens write, so these are made."""
    for number in covers.get("accessions") or ():
        if number == "*":
            PaperLink.objects.create(paper=paper, all_accessions=True)
        elif found := Accession.objects.filter(number=number).first():
            PaperLink.objects.create(paper=paper, accession=found)
    for name in covers.get("parts") or ():
        accession, _, letter = name.partition(", ")
        if part := Part.objects.filter(accession__number=accession, letter=letter).first():
            PaperLink.objects.create(paper=paper, part=part)
    for code in covers.get("sites") or ():
        site = Site.objects.get_or_create(code_key=fold(code), defaults={"code": code})[0]
        PaperLink.objects.create(paper=paper, site=site)
    for number in covers.get("events") or ():
        if event := SamplingEvent.objects.filter(number=number).first():
            PaperLink.objects.create(paper=paper, event=event)
    for number in covers.get("specimens") or ():
        if specimen := Specimen.objects.filter(catalog_number=number).first():
            PaperLink.objects.create(paper=paper, specimen=specimen)
