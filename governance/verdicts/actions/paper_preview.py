"""What a paper would cover if it were saved as it is written: tried in a transaction that is taken back.

The very actions and the very engine are used, so that the preview cannot say anything else than the verdicts later.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from django.db import transaction

from accessions.material.models import Specimen
from governance.engine import assess as judge
from governance.engine.outcomes import Assessment
from governance.engine.tables import Layer, LongColumn, Requirements, Verdict
from governance.papers.models import Paper
from governance.papers.queries import Links, links_of
from governance.verdicts.cells import Cell
from governance.verdicts.check import outlines
from governance.verdicts.feed import feed
from governance.verdicts.linked import Reach
from governance.verdicts.reason_words import reason_words

MOST_SPECIMENS: Final = 20_000
"""More are not tried: the write lock is held meanwhile."""

_MOST_REASONS: Final = 8


@dataclass(frozen=True)
class Count:
    """Specimens of one verdict of a layer, by this paper alone."""

    cell: Cell
    specimens: int


@dataclass(frozen=True)
class Preview:
    """specimens: behind the links. counts: by layer and verdict. reasons: why not covered, most first."""

    specimens: int
    counts: tuple[Count, ...] = ()
    reasons: tuple[tuple[str, int], ...] = ()
    is_unread: bool = False

    @property
    def is_too_many(self) -> bool:
        return self.specimens > MOST_SPECIMENS


def preview(change: Callable[[], Paper]) -> Preview:
    """Try a change of papers and say what the paper would cover; nothing of it stays.

    Args:
        change: an action that saves a paper and returns it. What it raises comes through.
    """
    with transaction.atomic():
        paper = change()
        found = _judged(paper)
        transaction.set_rollback(True)
    return found


def _judged(paper: Paper) -> Preview:
    links = links_of([paper]).get(paper.pk, Links())
    ids = _specimens(paper.pk, links)
    is_unread = not paper.versions.exists()
    if not len(ids) or len(ids) > MOST_SPECIMENS:
        return Preview(len(ids), is_unread=is_unread)
    fed = feed(ids, {paper.pk: links})
    layers = tuple(sorted(paper.layer_list))
    assessment = judge(
        fed.material, fed.papers.papers, Requirements(layers, None), outlines(), fed.house.rules,
        classification=fed.classification,
    )  # fmt: skip
    return Preview(len(ids), _counts(assessment, layers), _reasons(assessment), is_unread)


def _specimens(paper: int, links: Links) -> LongColumn:
    """Keys of the specimens behind the links, ascending: those that an assessment would hold against the paper, also
    by the number of an event and by the code or name of a site."""
    if links.all_accessions:  # one more than are tried is enough to know that they are too many
        first = Specimen.objects.order_by("pk").values_list("pk", flat=True)[: MOST_SPECIMENS + 1]
        return np.fromiter(first, np.int64)
    found = Reach({paper: links}).specimens([paper])
    return np.zeros(0, np.int64) if found is None else found


def _counts(assessment: Assessment, layers: tuple[Layer, ...]) -> tuple[Count, ...]:
    found = []
    for column, layer in enumerate(layers):
        numbers = np.bincount(assessment.verdict[:, column], minlength=len(Verdict))
        found += [Count(Cell(verdict, layer), int(numbers[verdict])) for verdict in Verdict if numbers[verdict]]
    return tuple(found)


def _reasons(assessment: Assessment) -> tuple[tuple[str, int], ...]:
    found: Counter[str] = Counter()
    for column, outcomes in enumerate(assessment.outcomes):
        sizes = np.bincount(assessment.outcome[:, column], minlength=len(outcomes))
        for outcome in np.flatnonzero((outcomes.verdict > Verdict.NOT_REQUIRED) & (sizes > 0)).tolist():
            first = next(iter(outcomes.findings(outcome)), None)
            found[reason_words(first.code) if first else ""] += int(sizes[outcome])
    return tuple(found.most_common(_MOST_REASONS))
