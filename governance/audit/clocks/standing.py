"""What stood for each specimen: the newest result of a run that was done by then, with the decisions known then.

Worked out for the specimens to which something happened since; the others stand as they stand now.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final

from accessions.material.models import Accession, SamplingEvent, Specimen
from governance.audit.clocks import tables
from governance.audit.clocks.moments import literal
from governance.audit.clocks.tables import original, quote, temporary
from governance.audit.clocks.tracked import Models, changed_keys, take_known_rows
from governance.verdicts.models import Override, Result, Run, Standing
from governance.verdicts.standing_columns import COLUMNS, lay_overrides

_KEYS: Final = "changed_verdicts_standing"
_THEN: Final = "then_verdicts_standing"
_SPECIMENS, _EVENTS = "specimens_of_standing", "events_of_standing"
_TABLE: Final = Standing._meta.db_table


def put_standing_in_front(moment: datetime, in_front: Models) -> None:
    """Let what stands be what stood at the moment. All other tables are in place already, ``in_front`` among them."""
    if not tables.make_keys(_KEYS, _affected(moment)):
        return
    tables.make_like(Standing, _TABLE)  # under its own name, so that the decisions are laid over it
    take_known_rows(Specimen, in_front, f"SELECT id FROM {temporary(_KEYS)}", _SPECIMENS)
    take_known_rows(SamplingEvent, in_front, f"SELECT event_id FROM {temporary(_SPECIMENS)}", _EVENTS)
    tables.run(_compute())
    lay_overrides("specimen_id")
    tables.run(f"ALTER TABLE {temporary(_TABLE)} RENAME TO {quote(_THEN)}")
    names = ", ".join(f"t.{quote(column)}" for column in tables.columns_of(Standing))
    unchanged = (f"SELECT {names} FROM {original(_TABLE)} t "
                 f"WHERE NOT EXISTS (SELECT 1 FROM {temporary(_KEYS)} c WHERE c.id = t.specimen_id)")  # fmt: skip
    if not tables.is_small(Standing):
        tables.index_like(Standing, _THEN)
    tables.put_in_front(Standing, [unchanged, f"SELECT {names} FROM {temporary(_THEN)} t"])


def _affected(moment: datetime) -> str:
    """Specimens whose verdict, or what lists repeat beside it, may have been another one."""
    specimens, override = original(Specimen._meta.db_table), original(Override.history.model._meta.db_table)
    return " UNION ALL ".join((
        f"SELECT x.specimen_id AS id FROM {original(Result._meta.db_table)} x WHERE x.run_id IN (SELECT id FROM "
        f"{original(Run._meta.db_table)} WHERE state <> 'done' OR finished_at > {literal(moment)})",
        f"SELECT specimen_id FROM {override} WHERE history_date > {literal(moment)}",
        changed_keys(Specimen, moment),
        f"SELECT id FROM {specimens} WHERE event_id IN ({changed_keys(SamplingEvent, moment)})",
        f"SELECT id FROM {specimens} WHERE accession_id IN ({changed_keys(Accession, moment)})",
    ))  # fmt: skip


def _compute() -> str:
    """As the end of a run writes it, over the rows that are in place. Of two results of a specimen the one of the later
    run counts: they follow each other."""
    results, runs = original(Result._meta.db_table), quote(Run._meta.db_table)
    names = ["specimen_id", "ruling_id", "run_id", "event_id", "name_id", "worst", "is_overruled", *COLUMNS]
    values = ["x.specimen_id", "x.ruling_id", "x.run_id", "x.event_id", "x.name_id", "r.worst", "FALSE",
              *COLUMNS.values()]  # fmt: skip
    return (
        f"INSERT INTO {temporary(_TABLE)} ({', '.join(names)}) SELECT {', '.join(values)} "
        f"FROM {temporary(_KEYS)} k JOIN {results} x ON x.id = (SELECT y.id FROM {results} y "
        f"WHERE y.specimen_id = k.id AND y.run_id IN (SELECT id FROM {runs} WHERE state = 'done') "
        "ORDER BY y.run_id DESC, y.id DESC LIMIT 1) "
        "JOIN verdicts_ruling r ON r.id = x.ruling_id "
        f"JOIN {temporary(_SPECIMENS)} s ON s.id = x.specimen_id JOIN {temporary(_EVENTS)} e ON e.id = s.event_id "
        "JOIN material_accession a ON a.id = s.accession_id"
    )
