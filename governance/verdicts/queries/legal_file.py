"""The legal file of an accession: parts and deliveries down the side, layers across; what is there and what is not."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Count
from django.utils.translation import gettext as _

from accessions.material.models import Accession, Delivery, Part
from accessions.people.models import User
from governance.engine.tables import Layer, Verdict
from governance.verdicts.cells import Cell
from governance.verdicts.models import LayerDecision, Search, Standing
from governance.verdicts.queries.accession_verdicts import verdicts_of_cells
from governance.verdicts.queries.file_fill import (
    MainReason,
    Sheets,
    Want,
    fill_words,
    keepers_of,
    main_reasons,
    sheets_of,
)
from governance.verdicts.queries.file_material import (
    REST,
    WHOLE,
    Lot,
    RowKey,
    RowMaterial,
    lots_of,
    material_by_row,
    rows_of,
)
from governance.verdicts.queries.file_papers import CellPaper, FilePapers, file_papers

WAY_LAYERS = (Layer.EXPORT, Layer.IMPORT, Layer.CITES, Layer.TRANSFER)
"""Layers whose days stand with deliveries (the contract of verdicts, section 2)."""


@dataclass(frozen=True)
class FileCell:
    """One layer of one row.

    cell: the worst verdict; None where nothing was checked. worst: specimens with it; open: those that need a look;
    specimens: all of the row; checked: those with a verdict. search: the latest, of the row or of the whole accession.
    day: of a delivery, as written. fill: what it would take.
    """

    layer: Layer
    cell: Cell | None
    worst: int
    open: int
    checked: int
    specimens: int
    papers: tuple[CellPaper, ...]
    search: Search | None
    decision: LayerDecision | None
    fill: str
    day: str = ""

    @property
    def is_complete(self) -> bool:
        """Whether every specimen was checked, and none needs a look."""
        return self.cell is not None and self.checked == self.specimens and not self.cell.needs_a_look

    @property
    def name_cell(self) -> Cell:
        """The layer, for its name and code."""
        return Cell(Verdict.CANNOT_TELL, self.layer)


@dataclass(frozen=True)
class FileRow:
    """A row: the whole accession, a part, the specimens of no part, or a delivery. cells: one a layer; those of
    layers that have nothing to do with a delivery are not in it."""

    key: RowKey
    label: str
    title: str
    material: RowMaterial
    cells: tuple[FileCell, ...]
    part: Part | None = None
    delivery: Delivery | None = None

    @property
    def is_of_the_way(self) -> bool:
        return self.key.kind == "delivery"

    def cell_of(self, layer: Layer) -> FileCell | None:
        return next((cell for cell in self.cells if cell.layer == layer), None)


@dataclass(frozen=True)
class LegalFile:
    """All rows, the whole accession first; with the searches and decisions behind them, the newest first."""

    accession: Accession
    rows: tuple[FileRow, ...]
    lots: tuple[Lot, ...]
    searches: tuple[Search, ...]
    decisions: tuple[LayerDecision, ...]

    @property
    def whole(self) -> FileRow:
        return self.rows[0]

    @property
    def specimens(self) -> int:
        return self.whole.material.specimens

    @property
    def narrow(self) -> tuple[FileRow, ...]:
        """The parts, and the specimens of no part."""
        return tuple(row for row in self.rows if row.key.kind in ("part", "rest"))


@dataclass
class _Standings:
    """Verdicts by row. counts: by layer and verdict. rulings: how many have each."""

    checked: Counter[RowKey]
    counts: dict[RowKey, dict[Layer, Counter[Verdict]]]
    rulings: dict[RowKey, Counter[int]]


def legal_file(accession: Accession, reader: User) -> LegalFile:
    """The file as this person may see it: a constant number of queries, whatever the accession holds."""
    parts, deliveries = list(accession.parts.all()), list(accession.deliveries.all())
    lots = lots_of(accession)
    material = material_by_row(lots)
    standing = _standings(accession)
    build = _Builder(
        accession=accession,
        material=material,
        standing=standing,
        papers=file_papers(accession, parts, lots, standing.rulings, reader),
        searches=list(Search.objects.filter(accession=accession).select_related("part").order_by("searched_on", "pk")),
        decisions=list(
            LayerDecision.objects.filter(accession=accession)
            .select_related("part", "decided_by", "withdrawn_by")
            .order_by("-decided_at", "-pk")
        ),
        sheets=sheets_of(material[WHOLE].countries),
        keepers=keepers_of(accession, lots),
        reasons=main_reasons(standing.rulings),
    )
    rows = [build.row(WHOLE, str(_("Whole accession")), accession.title)]
    rows += [build.row(RowKey("part", p.pk), _("Part %(letter)s") % {"letter": p.letter}, p.title, p) for p in parts]
    if parts and material[REST].specimens:
        rows.append(build.row(REST, str(_("In no part")), ""))
    rows += [build.way(delivery) for delivery in deliveries]
    return LegalFile(
        accession, tuple(rows), tuple(lots), tuple(reversed(build.searches)), tuple(build.decisions)
    )  # fmt: skip


def _standings(accession: Accession) -> _Standings:
    """One query."""
    by_cells: dict[RowKey, Counter[int]] = defaultdict(Counter)
    rulings: dict[RowKey, Counter[int]] = defaultdict(Counter)
    rows = Standing.objects.filter(specimen__accession=accession).order_by()
    columns = ("specimen__part", "specimen__delivery", "cells", "ruling")
    for part, delivery, cells, ruling, count in rows.values_list(*columns).annotate(Count("pk")):
        for row in rows_of(part, delivery):
            by_cells[row][cells] += count
            rulings[row][ruling] += count
    checked = Counter({row: cells.total() for row, cells in by_cells.items()})
    read = {cells: verdicts_of_cells(cells) for counted in by_cells.values() for cells in counted}
    return _Standings(checked, {row: _by_layer(counted, read) for row, counted in by_cells.items()}, rulings)


def _by_layer(
    by_cells: Mapping[int, int], read: Mapping[int, Mapping[Layer, Verdict]]
) -> dict[Layer, Counter[Verdict]]:
    """Specimens by layer and verdict. read: the verdicts behind each number of cells."""
    found: dict[Layer, Counter[Verdict]] = {layer: Counter() for layer in Layer}
    for cells, count in by_cells.items():
        for layer, verdict in read[cells].items():
            found[layer][verdict] += count
    return found


@dataclass(frozen=True)
class _Builder:
    """Rows from what was read of the database; no query of its own."""

    accession: Accession
    material: Mapping[RowKey, RowMaterial]
    standing: _Standings
    papers: FilePapers
    searches: Sequence[Search]
    decisions: Sequence[LayerDecision]
    sheets: Sheets
    keepers: str
    reasons: Mapping[tuple[RowKey, Layer], MainReason]

    def row(self, key: RowKey, label: str, title: str, part: Part | None = None) -> FileRow:
        cells = tuple(self._cell(key, layer) for layer in Layer)
        return FileRow(key, label, title, self._material(key), cells, part)

    def way(self, delivery: Delivery) -> FileRow:
        """The row of a delivery, with the days on which it left, came in and changed hands."""
        key = RowKey("delivery", delivery.pk)
        days = {
            Layer.EXPORT: delivery.exported_on,
            Layer.IMPORT: delivery.imported_on,
            Layer.CITES: delivery.exported_on or delivery.imported_on,
            Layer.TRANSFER: delivery.transferred_on,
        }
        cells = tuple(self._cell(key, layer, days[layer]) for layer in WAY_LAYERS)
        label = _("Delivery %(n)s") % {"n": delivery.number}
        return FileRow(key, label, delivery.contents, self._material(key), cells, delivery=delivery)

    def _material(self, key: RowKey) -> RowMaterial:
        return self.material.get(key) or RowMaterial()

    def _cell(self, key: RowKey, layer: Layer, day: str = "") -> FileCell:
        counts = self.standing.counts.get(key, {}).get(layer, Counter())
        worst = max(counts, default=None)
        material = self._material(key)
        papers = self.papers.of_cell(key, layer, material.specimens)
        search = self._search(key, layer)
        open_specimens = sum(count for verdict, count in counts.items() if Cell(verdict).needs_a_look)
        fill = ""
        if worst is not None and open_specimens:
            want = Want(
                layer, worst, open_specimens, tuple(sorted(material.countries)), search,
                any(paper.is_unread for paper in papers), self.reasons.get((key, layer)),
            )  # fmt: skip
            fill = fill_words(want, self.sheets, self.keepers)
        return FileCell(
            layer, None if worst is None else Cell(worst, layer), counts[worst] if worst is not None else 0,
            open_specimens, self.standing.checked[key], material.specimens, papers, search,
            self._decision(key, layer), fill, day,
        )  # fmt: skip

    def _search(self, key: RowKey, layer: Layer) -> Search | None:
        """The latest that is of this row: of its part, or of the whole accession."""
        found = None
        for search in self.searches:
            if search.layer == layer and _is_for(search.part_id, key):
                found = search
        return found

    def _decision(self, key: RowKey, layer: Layer) -> LayerDecision | None:
        """The one that stands; that of the part before that of the whole accession."""
        stands = [
            decision
            for decision in self.decisions
            if decision.layer == layer and decision.withdrawn_at is None and _is_for(decision.part_id, key)
        ]
        return min(stands, key=lambda decision: decision.part_id is None, default=None)


def _is_for(part: int | None, key: RowKey) -> bool:
    return part is None or (key.kind == "part" and key.key == part)


def open_cells(rows: Iterable[FileRow]) -> list[tuple[FileRow, FileCell]]:
    """Cells that need a look, row by row."""
    return [(row, cell) for row in rows for cell in row.cells if cell.open]
