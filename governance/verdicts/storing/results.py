"""Results of a run, slice by slice, and what stands once it is done."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

import numpy as np
from django.db import connection, transaction
from django.utils import timezone

from accessions.people.announcing import announce
from governance.engine.tables import LongColumn
from governance.verdicts.feed.rows import numbers, select, select_by_keys, slices
from governance.verdicts.feed.specimens import SpecimenRows
from governance.verdicts.models import Result, Run
from governance.verdicts.standing_columns import COLUMNS, fill_all_but, fill_columns, lay_overrides
from governance.verdicts.storing.bulk import insert_numbers
from governance.verdicts.storing.run_seals import keep_run_seal

ROWS_AT_ONCE = 20_000
"""Results in one transaction: on SQLite nobody else can write meanwhile."""

_MANY = 10_000
"""Changed specimens from which on the database counts its rows again."""

_STANDING = "SELECT specimen_id, ruling_id, event_id, name_id FROM verdicts_standing"


def changed_rows(specimens: SpecimenRows, rulings: LongColumn, *, every: bool) -> LongColumn:
    """Rows of the specimens whose ruling, event or name is not what stands. every: they are all specimens."""
    found = select(f"{_STANDING} ORDER BY specimen_id") if every else select_by_keys(
        f"{_STANDING} WHERE specimen_id IN", specimens.ids.tolist()
    )  # fmt: skip
    standing = numbers(found, 4)
    if not every:
        standing = standing[np.argsort(standing[:, 0])]
    now = np.column_stack([specimens.ids, rulings, specimens.event, specimens.name])
    if not len(standing):
        return np.arange(len(now))
    row = np.minimum(np.searchsorted(standing[:, 0], specimens.ids), len(standing) - 1)
    return np.flatnonzero((standing[row] != now).any(axis=1))


def append_results(
    run: Run, specimens: SpecimenRows, rulings: LongColumn, rows: LongColumn, progress: Callable[[int], None]
) -> None:
    """Append a result for each of the rows, in slices, each a transaction that says how far the run has come."""
    for first in range(0, len(rows), ROWS_AT_ONCE):
        own = rows[first : first + ROWS_AT_ONCE]
        block = np.column_stack([np.full(len(own), run.pk), specimens.ids[own], rulings[own],
                                 specimens.event[own], specimens.name[own]])  # fmt: skip
        with transaction.atomic():
            insert_numbers("verdicts_result", ("run_id", "specimen_id", "ruling_id", "event_id", "name_id"), block)
            Run.objects.filter(pk=run.pk).update(progress=first + len(own))
        progress(first + len(own))


def _upsert() -> str:
    """What stands from the results of a run, whole rows at once."""
    names = ["specimen_id", "ruling_id", "run_id", "event_id", "name_id", "worst", "is_overruled", *COLUMNS]
    values = ["x.specimen_id", "x.ruling_id", "x.run_id", "x.event_id", "x.name_id", "r.worst", "FALSE",
              *COLUMNS.values()]  # fmt: skip
    updates = ", ".join(f"{name} = excluded.{name}" for name in names[1:])
    return (
        f"INSERT INTO verdicts_standing ({', '.join(names)}) SELECT {', '.join(values)} "
        "FROM verdicts_result x JOIN verdicts_ruling r ON r.id = x.ruling_id "
        "JOIN material_specimen s ON s.id = x.specimen_id JOIN material_samplingevent e ON e.id = s.event_id "
        "JOIN material_accession a ON a.id = s.accession_id "
        f"WHERE x.run_id = %s ON CONFLICT (specimen_id) DO UPDATE SET {updates}"
    )


_RESULTS_OF_RUN = "SELECT specimen_id FROM verdicts_result WHERE run_id = %s"


def finish(run: Run, touches: Sequence[int], judged: SpecimenRows | None) -> None:
    """In one transaction: what the run found stands, the marks it took up go, and the run is done.

    Args:
        judged: the specimens, so that the facts that lists repeat are brought up to date where no verdict changed;
            None for all specimens.
    """
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute(_upsert(), [run.pk])
        _fill(run, judged)
        for some in slices(touches):
            marks = ", ".join(["%s"] * len(some))
            with connection.cursor() as cursor:
                cursor.execute(f"DELETE FROM material_touch WHERE id IN ({marks})", some)
        run.state = Run.State.DONE
        run.finished_at = timezone.now()
        run.save(update_fields=["state", "finished_at", "judged", "changed", "progress"])
        announce(Run, [run.pk], by=run.by)
        transaction.on_commit(partial(keep_run_seal, run.pk), robust=True)
    if run.changed >= _MANY:
        _count_rows()


def _count_rows() -> None:
    """Tell PostgreSQL at once how large the tables are: until it looks by itself, lists are planned for empty ones."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(
                "ANALYZE verdicts_standing, verdicts_result, verdicts_ruling, verdicts_rulinglayer, "
                "verdicts_outcome, verdicts_outcomefinding, verdicts_outcomepaper"
            )


def _fill(run: Run, judged: SpecimenRows | None) -> None:
    """Overrides, and the facts that lists repeat where no verdict changed: the other rows were written just now."""
    if judged is None:
        fill_all_but(run.pk)
        return
    lay_overrides(_RESULTS_OF_RUN, [run.pk])
    unchanged = "SELECT specimen_id FROM verdicts_standing WHERE run_id <> %s"
    for some in slices(judged.ids.tolist()):
        fill_columns(f"{unchanged} AND specimen_id IN ({', '.join(['%s'] * len(some))})", [run.pk, *some])


def clear_stopped() -> None:
    """Take away the results of runs that never came to their end. Call it only while no other run goes on."""
    stopped = Run.objects.exclude(state__in=[Run.State.DONE, Run.State.WAITING])
    for run in stopped.filter(state=Run.State.RUNNING):
        discard(run)


def discard(run: Run) -> None:
    """The run is over without results; they go slice by slice, as they came."""
    while True:
        some = list(Result.objects.filter(run=run).values_list("pk", flat=True)[:ROWS_AT_ONCE])
        if not some:
            break
        with transaction.atomic():
            for keys in slices(some):
                Result.objects.filter(pk__in=keys)._raw_delete("default")
    Run.objects.filter(pk=run.pk).update(state=Run.State.STOPPED, finished_at=timezone.now())
