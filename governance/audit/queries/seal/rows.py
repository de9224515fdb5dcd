"""Rows without an entry, and records that are not what their history says last: set by set, in SQL."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import connection, models
from django.utils.translation import gettext as _

from accessions.people.models import SealShape, Write
from accessions.people.seal_shapes import among, is_history
from governance.audit.queries.seal.chain import Step
from governance.audit.queries.seal.naming import called, table_name
from governance.audit.queries.seal.problems import MOST_NAMED, Problem, ProblemKind, Problems
from governance.audit.sealed_tables import STATE_TABLES, UNTRACKED, history_of, tracked_models


@dataclass(frozen=True)
class Unsealed:
    """Rows of a table that have no entry, by key."""

    model: type[models.Model]
    keys: Sequence[int]


def unsealed_rows() -> Iterator[Unsealed]:
    """Rows of histories, and of tables that are sealed by their state, that the chain does not know."""
    shapes = _shapes_by_table()
    for model, where in _sealed_models():
        keys = _without_entry(model, where, shapes.get(model._meta.db_table, []))
        if keys:
            yield Unsealed(model, keys)


def tell_unsealed(problems: Problems, unsealed: Unsealed) -> None:
    """A problem for each of the rows."""
    model, words = unsealed.model, table_name(unsealed.model._meta.db_table)
    first = Write.objects.values_list("at", flat=True).first()
    for key in unsealed.keys[:MOST_NAMED]:
        is_older = is_history(model) and _is_before(model, key, first)
        what = (
            _("it was made before the seal began. Seal it late: manage.py seal_late.")
            if is_older
            else _("it has no entry in the seal: added past the application, or the register stopped while writing.")
        )
        problems.add(Problem(ProblemKind.UNSEALED, words, called(model, key), what, key))
    problems.add_uncounted(ProblemKind.UNSEALED, words, max(0, len(unsealed.keys) - MOST_NAMED))


def _is_before(model: type[models.Model], key: int, first: Any) -> bool:
    moment: Any = model._base_manager.filter(pk=key).values_list("history_date", flat=True).first()
    return first is None or (moment is not None and moment < first)


def _sealed_models() -> Iterator[tuple[type[models.Model], str]]:
    for model in tracked_models():
        yield history_of(model), ""
    for table in STATE_TABLES:
        yield table.model, table.where


def _shapes_by_table() -> dict[str, list[int]]:
    shapes: dict[str, list[int]] = {}
    for pk, table in SealShape.objects.values_list("pk", "table"):
        shapes.setdefault(table, []).append(pk)
    return shapes


def _without_entry(model: type[models.Model], where: str, shapes: Sequence[int]) -> list[int]:
    quote = connection.ops.quote_name
    table, key = quote(model._meta.db_table), quote(str(model._meta.pk.column))
    conditions = [f"({where})"] if where else []
    if shapes:
        conditions.append(
            f"NOT EXISTS (SELECT 1 FROM people_seal s WHERE {among('s.shape_id', shapes)} "
            f"AND s.{quote('row')} = {table}.{key})"
        )
    return _keys(f"SELECT {key} FROM {table}" + (f" WHERE {' AND '.join(conditions)}" if conditions else ""))


def check_records(problems: Problems, step: Step) -> None:
    """Every record equals the newest row of its history, and history and records know each other."""
    wanted = list(tracked_models())
    for done, model in enumerate(wanted):
        step(_("Comparing records with their history"), done, len(wanted))
        changed, gone = _not_as_last_said(model)
        _tell(problems, model, changed, _("it is not what its history says last: it was changed past the application."))
        _tell(problems, model, gone, _("its history does not say that it was removed, but it is gone."))
        _tell(problems, model, _without_history(model), _("it has no history: it was added past the application."))


def _tell(problems: Problems, model: type[models.Model], keys: Sequence[int], what: str) -> None:
    words = str(model._meta.verbose_name_plural)
    for key in keys[:MOST_NAMED]:
        problems.add(Problem(ProblemKind.RECORD, words, called(model, key), what, key))
    problems.add_uncounted(ProblemKind.RECORD, words, max(0, len(keys) - MOST_NAMED))


def _not_as_last_said(model: type[models.Model]) -> tuple[list[int], list[int]]:
    """Records that are not what the newest row of their history says, and those that are gone though it does not."""
    quote = connection.ops.quote_name
    history, key = quote(history_of(model)._meta.db_table), _key(model)
    differs = " OR ".join(f"r.{column} IS DISTINCT FROM h.{column}" for column in _compared(model))
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT n.record, r.{key} IS NULL "
            f"FROM (SELECT {key} AS record, max(history_id) AS newest FROM {history} GROUP BY {key}) n "
            f"JOIN {history} h ON h.history_id = n.newest "
            f"LEFT JOIN {quote(model._meta.db_table)} r ON r.{key} = n.record "
            f"WHERE (r.{key} IS NULL) <> (h.history_type = '-') OR (r.{key} IS NOT NULL AND ({differs}))"
        )
        rows = sorted(cursor.fetchall())
    return [record for record, is_gone in rows if not is_gone], [record for record, is_gone in rows if is_gone]


def _compared(model: type[models.Model]) -> list[str]:
    """The columns that record and history share, but for those that are written past the history."""
    kept = {field.column for field in history_of(model)._meta.concrete_fields}
    past = UNTRACKED.get(model._meta.db_table, {})
    return [
        connection.ops.quote_name(str(field.column))
        for field in model._meta.concrete_fields
        if field.column in kept and field.column not in past and not field.primary_key
    ]


def _without_history(model: type[models.Model]) -> list[int]:
    quote = connection.ops.quote_name
    history, key = quote(history_of(model)._meta.db_table), _key(model)
    return _keys(
        f"SELECT r.{key} FROM {quote(model._meta.db_table)} r "
        f"WHERE NOT EXISTS (SELECT 1 FROM {history} h WHERE h.{key} = r.{key})"
    )


def _key(model: type[models.Model]) -> str:
    return connection.ops.quote_name(str(model._meta.pk.column))


def _keys(sql: str) -> list[int]:
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return sorted(key for (key,) in cursor.fetchall())
