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


def planned_material(expected: Sequence[PlannedRow], rows: Sequence[PlannedRow], percent: int | None) -> Material:
    """Rows of plans, read as a file of specimens is: what is expected, and behind it rows that carry no number.

    percent: how far an approximate number reaches by the house rule, as for specimens; None for no bound.
    """
    every = [*expected, *rows]
    material = material_of(SpecimenTable("plan", len(every), columns_of(every), range(1, len(every) + 1)))
    specimens = material.specimens
    low, high = specimens.count_low.copy(), specimens.count_high.copy()
    for number, row in enumerate(expected):
        bounds = None if percent is None else approximate(row.expected, percent)
        if bounds:
            low[number], high[number] = bounds
    low[len(expected) :] = high[len(expected) :] = 0
    assumed = specimens.count_assumed & (np.arange(len(every)) < len(expected))
    return dataclasses.replace(
        material,
        specimens=dataclasses.replace(specimens, count_low=low, count_high=high, count_assumed=assumed),
        events=[_NOBODY_WRITES + event for event in material.events],
    )


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
