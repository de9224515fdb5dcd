"""The list of specimens as rows of a file: typed values, a piece at a time, so that 100,000 rows need little memory."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django.utils.translation import gettext as _

from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES
from governance.verdicts.models import OutcomePaper, RulingLayer
from governance.verdicts.queries.selected import slices
from governance.verdicts.queries.specimen_rows import SpecimenRow, specimen_rows
from governance.verdicts.row_sentences import SentenceFiller

Cells = list[Any]


def header() -> list[str]:
    """The heads of the columns: a verdict for each layer between what it is and why."""
    return [
        _("Catalogue number"), _("Accession"), _("Part"), _("Name"), _("Collected, first day"),
        _("Collected, last day"), _("Collected, as written"), _("Country"), _("Site"), _("Permission strip"),
        *(str(LAYER_NAMES[layer]) for layer in Layer),
        _("Worst verdict"), _("Decided by a person"), _("Reasons"), _("Papers"),
    ]  # fmt: skip


def export_rows(keys: Sequence[int]) -> Iterator[Cells]:
    """A row a specimen, in the order of the keys. At most five queries for each 2,000."""
    filler = SentenceFiller(days_as_written=True)
    for some in slices(keys):
        rows = specimen_rows(some, filler=filler)
        papers = _papers_of({row.specimen.standing.ruling_id for row in rows if row.is_checked})
        yield from (_cells(row, papers) for row in rows)


def _cells(row: SpecimenRow, papers: dict[int, str]) -> Cells:
    specimen, event = row.specimen, row.specimen.event
    return [
        specimen.catalog_number, specimen.accession.number, specimen.part.letter if specimen.part else "",
        specimen.name.shown, event.earliest_on, event.latest_on, event.event_date or event.verbatim_event_date,
        event.country, row.place, row.plain_strip,
        *([cell.word for cell in row.cells] or [""] * len(Layer)),
        row.worst.word if row.worst else _("Not yet checked"),
        _("yes") if row.is_overruled else "",
        row.all_sentences,
        papers.get(specimen.standing.ruling_id, "") if row.is_checked else "",
    ]  # fmt: skip


def _papers_of(rulings: set[int]) -> dict[int, str]:
    """By ruling, the references of all papers that its layers rest on or were held against, each once."""
    layers = RulingLayer.objects.filter(ruling__in=rulings).order_by("ruling", "layer").values_list("ruling", "outcome")
    pairs = list(layers)
    references: dict[int, list[str]] = {}
    rows = OutcomePaper.objects.filter(outcome__in={outcome for _ruling, outcome in pairs})
    for outcome, reference in rows.order_by("outcome", "position").values_list("outcome", "reference"):
        references.setdefault(outcome, []).append(reference)
    found: dict[int, dict[str, None]] = {}
    for ruling, outcome in pairs:
        found.setdefault(ruling, {}).update(dict.fromkeys(references.get(outcome, ())))
    return {ruling: " | ".join(names) for ruling, names in found.items()}
