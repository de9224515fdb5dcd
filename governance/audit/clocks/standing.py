"""What stood for each specimen: the newest result of a run that was done by then, with the decisions known then.

Worked out for the specimens to which something happened since; the others stand as they stand now.
"""

from __future__ import annotations

from collections.abc import Container
from datetime import datetime
from typing import Final

from accessions.material.models import Accession, SamplingEvent, Specimen
from governance.audit.clocks import tables
from governance.audit.clocks.moments import literal
from governance.audit.clocks.tables import original, quote, temporary
from governance.audit.clocks.tracked import Model, changed_keys, history_table, take_known_rows
from governance.verdicts.models import Override, Result, Run, Standing
from governance.verdicts.standing_columns import COLUMNS, lay_overrides

READS: Final = (Run, Accession, Override)
"""What must be in place before; of specimens and events only what changed must have been taken."""

TAKES: Final = (Specimen, SamplingEvent)
_KEYS, _THEN = "changed_verdicts_standing", "then_verdicts_standing"
_SPECIMENS, _EVENTS = "specimens_of_standing", "events_of_standing"
_TABLE: Final = Standing._meta.db_table


def put_standing_in_front(moment: datetime, changed: Container[Model]) -> None:
    """Let what stands be what stood at the moment. changed: the models of which something changed since."""
    if not tables.make_keys(_KEYS, _affected(moment)):
        return
    of_keys = f"SELECT id FROM {temporary(_KEYS)}"
    take_known_rows(Specimen, _SPECIMENS, of_keys, is_changed=Specimen in changed)
    of_them = f"SELECT event_id FROM {temporary(_SPECIMENS)}"
    take_known_rows(SamplingEvent, _EVENTS, of_them, is_changed=SamplingEvent in changed)
    tables.make_like(Standing, _THEN)
    tables.run(_compute())
    if not tables.is_copied(Standing):
        _lay_overrides_apart()
    tables.put_rows_in_front(Standing, _KEYS, _THEN)
    if tables.is_copied(Standing):
        lay_overrides(of_keys)


def _lay_overrides_apart() -> None:
    """Lay the decisions over the computed rows while they bear the name of the table: a view takes no change."""
    tables.run(f"ALTER TABLE {temporary(_THEN)} RENAME TO {quote(_TABLE)}")
    lay_overrides("specimen_id")
    tables.run(f"ALTER TABLE {temporary(_TABLE)} RENAME TO {quote(_THEN)}")


def _affected(moment: datetime) -> str:
    """Specimens whose verdict, or what lists repeat beside it, may have been another one."""
    specimens = original(Specimen._meta.db_table)
    return " UNION ALL ".join((
        f"SELECT x.specimen_id AS id FROM {original(Result._meta.db_table)} x WHERE x.run_id IN (SELECT id FROM "
        f"{original(Run._meta.db_table)} WHERE state <> 'done' OR finished_at > {literal(moment)})",
        f"SELECT specimen_id FROM {original(history_table(Override))} WHERE history_date > {literal(moment)}",
        changed_keys(Specimen, moment),
        f"SELECT id FROM {specimens} WHERE event_id IN ({changed_keys(SamplingEvent, moment)})",
        f"SELECT id FROM {specimens} WHERE accession_id IN ({changed_keys(Accession, moment)})",
    ))  # fmt: skip


def _compute() -> str:
    """As the end of a run writes it, over the rows as they were. Of two results of a specimen the one of the later run
    counts: they follow each other."""
    results, runs = original(Result._meta.db_table), quote(Run._meta.db_table)
    names = ["specimen_id", "ruling_id", "run_id", "event_id", "name_id", "worst", "is_overruled", *COLUMNS]
    values = ["x.specimen_id", "x.ruling_id", "x.run_id", "x.event_id", "x.name_id", "r.worst", "FALSE",
              *COLUMNS.values()]  # fmt: skip
    return (
        f"INSERT INTO {temporary(_THEN)} ({', '.join(names)}) SELECT {', '.join(values)} "
        f"FROM {temporary(_KEYS)} k JOIN {results} x ON x.id = (SELECT y.id FROM {results} y "
        f"WHERE y.specimen_id = k.id AND y.run_id IN (SELECT id FROM {runs} WHERE state = 'done') "
        "ORDER BY y.run_id DESC, y.id DESC LIMIT 1) "
        "JOIN verdicts_ruling r ON r.id = x.ruling_id "
        f"JOIN {temporary(_SPECIMENS)} s ON s.id = x.specimen_id JOIN {temporary(_EVENTS)} e ON e.id = s.event_id "
        "JOIN material_accession a ON a.id = s.accession_id"
    )
