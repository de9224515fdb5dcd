"""The material of a plan as tables of the engine, and the specimens on file that count beside it."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence

import numpy as np

from accessions.intake.specimens import SpecimenTable
from accessions.material.models import Specimen
from governance.engine import Material
from governance.engine.tables import LongColumn, Paper, Taxa
from governance.engine.taxa import Classification
from governance.papers.queries import Links
from governance.plans.planned_rows import PlannedRow, columns_of
from governance.verdicts.feed.specimens import approximate
from governance.verdicts.linked import Reach
from governance.verdicts.material import material_of

_NOBODY_WRITES = "\0"
"""Before the number of a planned event: what people write in the register holds no such character, so that the event of
a specimen is never one of a plan."""


def has_cap(paper: Paper) -> bool:
    """Whether any of its versions limits numbers."""
    return any(version.caps for version in paper.versions)


def empty_specimens() -> LongColumn:
    """Keys of no specimen."""
    return np.zeros(0, np.int64)


def counted_specimens(capped: Mapping[int, Links], but: int | None = None) -> LongColumn | None:
    """The specimens for which capped papers speak, ascending; None for all.

    Args:
        capped: the papers, with what they are linked to.
        but: key of an accession that is left out.
    """
    linked = {pk: links for pk, links in capped.items() if links}
    found = Reach(linked).specimens(list(linked))
    if but is None:
        return found
    kept = Specimen.objects.exclude(accession=but).order_by("pk").values_list("pk", flat=True)
    others = np.fromiter(kept, np.int64)
    return others if found is None else np.intersect1d(found, others)


def planned_material(rows: Sequence[PlannedRow], percent: int | None) -> Material:
    """Rows of plans, read as a file of specimens is. A row that carries no number counts nothing, nor is it assumed.

    percent: how far an approximate number reaches by the house rule, as for specimens; None for no bound.
    """
    material = material_of(SpecimenTable("plan", len(rows), columns_of(rows), range(1, len(rows) + 1)))
    low, high = material.specimens.count_low.copy(), material.specimens.count_high.copy()
    for number, row in enumerate(rows):
        bounds = approximate(row.expected, percent) if percent is not None and row.counts else None
        if bounds:
            low[number], high[number] = bounds
    counts = np.array([row.counts for row in rows], bool)
    specimens = dataclasses.replace(
        material.specimens,
        count_low=np.where(counts, low, 0),
        count_high=np.where(counts, high, 0),
        count_assumed=material.specimens.count_assumed & counts,
    )
    events = [_NOBODY_WRITES + event for event in material.events]
    return dataclasses.replace(material, specimens=specimens, events=events)


@dataclasses.dataclass(frozen=True)
class _Kept:
    registered: Taxa
    planned: tuple[object, ...]
    classification: Classification


_kept: list[_Kept] = []
"""The classifications of the last checks: the names of the register seldom change between two looks at a plan."""


def classification_of(registered: Taxa, every: Taxa) -> Classification:
    """Of the names of the register, followed by those of a plan; made anew only if either differs.

    registered: the very table that the register keeps while its names stay. every: that and the planned names.
    """
    first = len(registered)
    planned = (tuple(every.lineage[first:]), tuple(every.unranked[first:]), every.qualified[first:].tobytes())
    for kept in _kept:
        if kept.registered is registered and kept.planned == planned:
            return kept.classification
    made = Classification(every)
    _kept[:] = [_Kept(registered, planned, made), *_kept[:3]]
    return made
