"""The facts that ``Standing`` repeats, and the one statement that fills them: set by set, never row by row.

Lists filter and sort by these columns alone. Whoever writes rows of ``Standing``, or decides beside a verdict, or
withdraws that, calls ``fill_columns`` for them in the same transaction. Changed facts come in with the next run.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db import connection

from governance.engine.tables import Layer, Verdict
from governance.verdicts.models import COUNTING_SQL, Override, Standing

VERDICT_BITS = len(Verdict)


def cell_bit(layer: int, verdict: int) -> int:
    """The bit of ``Standing.cells`` that is set if this layer has this verdict.

    >>> cell_bit(0, 4), cell_bit(1, 0)
    (16, 64)
    """
    return 1 << (VERDICT_BITS * layer + verdict)


def cells_of(strip: Iterable[int]) -> int:
    """``Standing.cells`` of the verdicts of the nine layers."""
    return sum(cell_bit(layer, verdict) for layer, verdict in enumerate(strip))


def mask_of(layers: Iterable[int], verdicts: Iterable[int]) -> int:
    """The bits of which one is set if any of these layers has any of these verdicts."""
    wanted = list(verdicts)
    return sum(cell_bit(layer, verdict) for layer in set(layers) for verdict in set(wanted))


def strip_of(cells: int) -> str:
    """The strip of digits of ``Standing.cells``; "" for a row that was not filled yet.

    >>> strip_of(cells_of([4, 0, 0, 1, 1, 1, 1, 1, 1]))
    '400111111'
    """
    if not cells:
        return ""
    return "".join(str((cells >> VERDICT_BITS * layer & 63).bit_length() - 1) for layer in Layer)


_CELLS_OF_RULING = " | ".join(
    f"(CAST(1 AS BIGINT) << ({VERDICT_BITS * layer} + CAST(substr(r.strip, {layer + 1}, 1) AS INTEGER)))"
    for layer in Layer
)

COLUMNS: Mapping[str, str] = {
    "accession_key": "s.accession_id",
    "part_key": "s.part_id",
    "site_key": "e.site_id",
    "country": "e.country",
    "kind": "s.kind",
    "first_on": "e.earliest_on",
    "last_on": "e.latest_on",
    "cells": f"({_CELLS_OF_RULING})",
    "catalog_number": "s.catalog_number",
    "accession_number": "a.number",
}
"""Column of ``Standing`` -> SQL, over the specimen ``s``, its event ``e``, its accession ``a`` and the ruling ``r``.

For an INSERT .. SELECT that writes whole rows at once; decisions of people are to be laid over them afterwards
(``lay_overrides``).
"""

_ALL = {"worst": "r.worst", "is_overruled": "FALSE", **COLUMNS}

_DIFFERS = " OR ".join(
    ["t.is_overruled", "t.cells = 0", "t.worst <> r.worst",
     *(f"t.{column} IS DISTINCT FROM {sql}" for column, sql in COLUMNS.items() if column != "cells")]
)  # fmt: skip
"""Whether a row may be out of date. Cells follow from the ruling unless a person decided beside it."""

_FILL = f"""
UPDATE verdicts_standing AS t SET {", ".join(f"{column} = {sql}" for column, sql in _ALL.items())}
FROM material_specimen s CROSS JOIN material_samplingevent e CROSS JOIN material_accession a
CROSS JOIN verdicts_ruling r
WHERE s.id = t.specimen_id AND e.id = s.event_id AND a.id = s.accession_id AND r.id = t.ruling_id
AND %s AND ({_DIFFERS})
"""
"""CROSS JOIN keeps SQLite from walking the events first; to PostgreSQL it makes no difference."""


def fill_columns(specimen_ids_sql: str, parameters: Sequence[Any] = ()) -> None:
    """Bring the rows of these specimens up to date: facts, verdicts after overrides, worst, whether overruled.

    Args:
        specimen_ids_sql: a SELECT of primary keys of specimens, or a list of ``%s``, one for each of the parameters.
            It is written by the caller and never holds text from outside.
    """
    _fill(f"t.specimen_id IN ({specimen_ids_sql})", parameters)
    lay_overrides(specimen_ids_sql, parameters)


def fill_all_but(run: int) -> None:
    """The same for all rows but those that this run wrote, whose overrides are laid too."""
    _fill("t.run_id <> %s", [run])
    lay_overrides("specimen_id")


def _fill(condition: str, parameters: Sequence[Any]) -> None:
    with connection.cursor() as cursor:
        cursor.execute(_FILL % condition, list(parameters))


def lay_overrides(specimen_ids_sql: str, parameters: Sequence[Any] = ()) -> None:
    """Lay the decisions that stand over the computed verdicts of these specimens.

    A decision counts only while the computed verdict is the one beside which it was made: of another one the computed
    counts until a person looks again, so that no old decision hides a new reason. The row still says that somebody
    decided.
    """
    decided = _decided(specimen_ids_sql, parameters)
    rows = list(Standing.objects.filter(pk__in=decided).select_related("ruling").only("ruling__strip"))
    for row in rows:
        computed = list(enumerate(map(int, row.ruling.strip)))
        verdicts = [decided[row.pk].get((layer, verdict), verdict) for layer, verdict in computed]
        row.cells, row.worst, row.is_overruled = cells_of(verdicts), max(verdicts), True
    Standing.objects.bulk_update(rows, ["cells", "worst", "is_overruled"], batch_size=200)


def _decided(specimen_ids_sql: str, parameters: Sequence[Any]) -> dict[int, dict[tuple[int, int], int]]:
    """Of each specimen the decided verdicts by layer and the computed verdict beside which each was decided."""
    table = connection.ops.quote_name(Override._meta.db_table)
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT specimen_id, layer, computed, decided FROM {table} "
            f"WHERE {COUNTING_SQL.format(table)} AND specimen_id IN ({specimen_ids_sql})",
            list(parameters),
        )
        rows = cursor.fetchall()
    decided: dict[int, dict[tuple[int, int], int]] = defaultdict(dict)
    for specimen, layer, computed, verdict in rows:
        decided[specimen][layer, computed] = verdict
    return dict(decided)
