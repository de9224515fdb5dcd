"""The verdicts that stand for an accession: by part and layer, and the sentence that answers first."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Max

from accessions.material.models import Accession, Specimen
from governance.engine.tables import Layer, Verdict
from governance.papers.models import PaperLink
from governance.verdicts.cells import Cell
from governance.verdicts.models import Run, Search, Standing
from governance.verdicts.standing_columns import strip_of

NEEDS_A_LOOK = tuple(verdict for verdict in Verdict if verdict >= Verdict.CANNOT_TELL)


@dataclass(frozen=True)
class Share:
    """So many specimens with one verdict at worst, of so many."""

    cell: Cell
    count: int
    first: float
    width: float


@dataclass(frozen=True)
class Distribution:
    """The worst verdicts of some specimens, as a bar. unchecked: those without any verdict yet."""

    shares: tuple[Share, ...]
    checked: int
    unchecked: int = 0

    @property
    def words(self) -> str:
        """The bar in words, for whoever does not see it."""
        return ", ".join(f"{share.cell.word}: {share.count}" for share in self.shares)


def distribution(counts: Mapping[int, int], unchecked: int = 0) -> Distribution:
    """A bar of shares in percent, best verdict first.

    >>> [(share.first, share.width) for share in distribution({0: 3, 4: 1}).shares]
    [(0.0, 75.0), (75.0, 25.0)]
    """
    total = sum(counts.values())
    shares, first = [], 0.0
    for verdict in Verdict:
        count = counts.get(int(verdict), 0)
        if count:
            width = round(100 * count / total, 2)
            shares.append(Share(Cell(verdict), count, round(first, 2), width))
            first += 100 * count / total
    return Distribution(tuple(shares), total, unchecked)


@dataclass(frozen=True)
class ListedVerdicts:
    """What the list of accessions shows of one: its bar, and how many papers speak for it, a part, an event or a
    specimen of it, as its own page counts them."""

    bar: Distribution
    papers: int


def listed_verdicts(accessions: Sequence[Accession]) -> dict[int, ListedVerdicts]:
    """Bars and numbers of papers of some accessions by primary key: five queries, whatever their number.

    accessions: with ``specimen_count``, as the list has them.
    """
    keys = [accession.pk for accession in accessions]
    worst: dict[int, Counter[int]] = defaultdict(Counter)
    rows = Standing.objects.filter(specimen__accession__in=keys).order_by()
    for key, verdict, count in rows.values_list("specimen__accession", "worst").annotate(Count("pk")):
        worst[key][verdict] = count
    papers = _papers_of(keys)
    return {
        accession.pk: ListedVerdicts(
            distribution(worst[accession.pk], accession.specimen_count - worst[accession.pk].total()),  # type: ignore[attr-defined]
            len(papers[accession.pk]),
        )
        for accession in accessions
    }


def _papers_of(accessions: Iterable[int]) -> dict[int, set[int]]:
    """The papers that stand linked to an accession, a part, an event or a specimen of it; links to all accessions or
    to a site are not counted."""
    found: dict[int, set[int]] = defaultdict(set)
    keys = list(accessions)
    standing = PaperLink.objects.filter(unlinked_at__isnull=True).order_by()
    for way in ("accession", "part__accession", "specimen__accession", "event__specimens__accession"):
        for key, paper in standing.filter(**{f"{way}__in": keys}).values_list(way, "paper").distinct():
            found[key].add(paper)
    return found


@dataclass(frozen=True)
class LayerCount:
    """How many specimens have one verdict of one layer."""

    cell: Cell
    count: int


@dataclass(frozen=True)
class LayerRow:
    """One layer of the table: a count for each verdict, best first."""

    cell: Cell
    counts: tuple[LayerCount, ...]


@dataclass(frozen=True)
class AccessionVerdicts:
    """Everything that stands for the specimens of one accession.

    part_strips: by key of the part (0 for no part) the worst verdict of each layer. counts: by layer and verdict.
    """

    specimens: int
    checked: int
    checked_at: datetime | None
    part_strips: dict[int, tuple[Cell, ...]]
    part_checked: dict[int, int]
    counts: dict[Layer, Counter[Verdict]]

    @property
    def unchecked(self) -> int:
        return self.specimens - self.checked

    @property
    def rows(self) -> list[LayerRow]:
        """The table of counts."""
        return [
            LayerRow(
                Cell(Verdict.COVERED, layer),
                tuple(LayerCount(Cell(verdict, layer), self.counts[layer][verdict]) for verdict in Verdict),
            )
            for layer in Layer
        ]

    @property
    def open_layers(self) -> list[tuple[Layer, int]]:
        """Layers with specimens that need a look, most specimens first."""
        looks = [(layer, sum(self.counts[layer][verdict] for verdict in NEEDS_A_LOOK)) for layer in Layer]
        return sorted(((layer, count) for layer, count in looks if count), key=lambda pair: -pair[1])


def accession_verdicts(accession: Accession) -> AccessionVerdicts:
    """The verdicts that stand for an accession, after a person's decisions: three queries."""
    standing = Standing.objects.filter(specimen__accession=accession).order_by()
    parts: dict[int, Counter[int]] = defaultdict(Counter)
    runs = {0}
    for part, cells, count, run in standing.values_list("specimen__part", "cells").annotate(Count("pk"), Max("run")):
        parts[part or 0][cells] += count
        runs.add(run)
    checked = {part: rows.total() for part, rows in parts.items()}
    newest = Run.objects.filter(pk=max(runs)).first()
    return AccessionVerdicts(
        specimens=Specimen.objects.filter(accession=accession).count(),
        checked=sum(checked.values()),
        checked_at=newest.finished_at if newest else None,
        part_strips={part: _worst_strip(rows) for part, rows in parts.items()},
        part_checked=checked,
        counts=_counts(parts.values()),
    )


def verdicts_of_cells(cells: int) -> dict[Layer, Verdict]:
    """The verdict of each layer, from the bits of ``Standing.cells``; none of a row that was not filled yet."""
    digits = strip_of(cells)
    return {layer: Verdict(int(digit)) for layer, digit in zip(Layer, digits, strict=True)} if digits else {}


def _worst_strip(rows: Counter[int]) -> tuple[Cell, ...]:
    together = [verdicts_of_cells(cells) for cells in rows]
    return tuple(
        Cell(max((verdicts[layer] for verdicts in together if layer in verdicts), default=Verdict.CANNOT_TELL), layer)
        for layer in Layer
    )


def _counts(parts: Iterable[Counter[int]]) -> dict[Layer, Counter[Verdict]]:
    found: dict[Layer, Counter[Verdict]] = {layer: Counter() for layer in Layer}
    for rows in parts:
        for cells, count in rows.items():
            for layer, verdict in verdicts_of_cells(cells).items():
                found[layer][verdict] += count
    return found


def searches_of(accession: Accession) -> list[Search]:
    """The searches for papers of an accession and its parts."""
    return list(Search.objects.filter(accession=accession).select_related("part"))
