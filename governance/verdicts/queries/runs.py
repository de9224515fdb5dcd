"""Assessments: which ran, what each was of, and what it changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db import connection
from django.db.models import QuerySet

from accessions.material.models import Specimen, Touch
from governance.engine.tables import Layer, Verdict
from governance.papers.models import LAYER_NAMES, Paper
from governance.verdicts.cells import Cell
from governance.verdicts.models import Result, Run

MOST_COMPARED = 200_000
"""Changed specimens up to which a run is compared with what stood before it."""

MOST_SHOWN = 50

_CHANGES = """
SELECT p.strip, n.strip, COUNT(*)
FROM verdicts_result r
JOIN verdicts_ruling n ON n.id = r.ruling_id
LEFT JOIN verdicts_ruling p ON p.id = (
    SELECT x.ruling_id FROM verdicts_result x JOIN verdicts_run u ON u.id = x.run_id
    WHERE x.specimen_id = r.specimen_id AND x.run_id < r.run_id AND u.state = 'done'
    ORDER BY x.run_id DESC LIMIT 1
)
WHERE r.run_id = %s
GROUP BY p.strip, n.strip
"""


@dataclass(frozen=True)
class Move:
    """How many specimens went from one verdict to another on a layer. before: None for a first verdict."""

    layer: Layer
    before: Cell | None
    after: Cell
    specimens: int

    @property
    def layer_name(self) -> str:
        return str(LAYER_NAMES[self.layer])


@dataclass(frozen=True)
class RunChanges:
    """What a run changed.

    moves: most specimens first. first_verdicts: specimens that had none before. reasons_only: specimens whose verdicts
    stayed, with other reasons or facts. is_compared: False where so many changed that nobody counted.
    """

    moves: Sequence[Move]
    first_verdicts: int
    reasons_only: int
    is_compared: bool


@dataclass(frozen=True)
class UsedPaper:
    """A paper that a run used. paper: None if it is no longer on file."""

    paper: Paper | None
    starts: Sequence[Any]

    @property
    def days(self) -> list[date | None]:
        """The start days; a run keeps them as day numbers, None for an unknown start."""
        return [date.fromordinal(start) if isinstance(start, int) else None for start in self.starts]


def runs() -> QuerySet[Run]:
    """All runs, the newest first, with who asked."""
    return Run.objects.select_related("by").defer("papers", "house").order_by("-pk")


def going_on() -> Run | None:
    """The run that goes on, if any."""
    return Run.objects.filter(state__in=[Run.State.WAITING, Run.State.RUNNING]).order_by("-pk").first()


def waiting_marks() -> int:
    """Changes whose verdicts are not worked out yet."""
    return Touch.objects.count()


def duration(run: Run) -> timedelta | None:
    """From the start of a run to its end; None while it goes on."""
    if run.started_at is None or run.finished_at is None:
        return None
    return run.finished_at - run.started_at


def changes_of_run(run: Run) -> RunChanges:
    """What went from which verdict to which. One query, which walks all results of the run."""
    if run.state != Run.State.DONE or run.changed > MOST_COMPARED:
        return RunChanges([], 0, 0, run.state == Run.State.DONE and not run.changed)
    with connection.cursor() as cursor:
        cursor.execute(_CHANGES, [run.pk])
        rows = cursor.fetchall()
    return _summed(rows)


def _summed(rows: Sequence[tuple[str | None, str, int]]) -> RunChanges:
    moves: Counter[tuple[int, int, int]] = Counter()
    first, same = 0, 0
    for before, after, count in rows:
        if before is None:
            first += count
        elif before == after:
            same += count
        else:
            for layer, (old, new) in enumerate(zip(before, after, strict=True)):
                if old != new:
                    moves[layer, int(old), int(new)] += count
    found = [
        Move(Layer(layer), Cell(Verdict(old), Layer(layer)), Cell(Verdict(new), Layer(layer)), count)
        for (layer, old, new), count in sorted(moves.items(), key=lambda item: (-item[1], item[0]))
    ]
    return RunChanges(found, first, same, True)


def some_changed(run: Run) -> list[Specimen]:
    """The first of the specimens whose verdict the run wrote."""
    keys = Result.objects.filter(run=run).order_by("pk").values_list("specimen_id", flat=True)[:MOST_SHOWN]
    return list(Specimen.objects.filter(pk__in=list(keys)).select_related("name", "standing"))


def used_papers(run: Run) -> list[UsedPaper]:
    """The papers that the run used, with the start days of their versions. One query."""
    kept = [(int(key), starts) for key, starts in run.papers]
    found = Paper.objects.only("reference", "kind").in_bulk([key for key, _ in kept])
    return [UsedPaper(found.get(key), starts) for key, starts in kept]
