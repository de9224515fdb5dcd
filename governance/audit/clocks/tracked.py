"""Tables that keep their history: of each record the newest entry of that moment, unless it says that the record went.

Only what changed since is looked at: a row without a later entry is as it is now.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final

from django.db import connection, models

from governance.audit.clocks import tables
from governance.audit.clocks.moments import in_order, literal, tracked_models
from governance.audit.clocks.tables import original, quote, temporary

AS_NOW: Final = frozenset({"audit.SavedQuestion", "audit.Follower"})
"""Tools of those who ask, not records: they are as they are now whatever is asked with them."""

PRESENT: Final = {
    "papers.Paper": ("restricted_to", "restricted_why"),
    "scans.Scan": ("restricted_to", "papers_restricted_to"),
}
"""Columns of today at any moment: what was open to everybody then may be restricted for a reason found since."""


Models = frozenset[type[models.Model]]


def put_tracked_in_front(moment: datetime) -> Models:
    """Let all tables with a history that changed after the moment, and their histories, be as they were; which."""
    kept = {model: model.history.model for model in tracked_models() if model._meta.label not in AS_NOW}  # type: ignore[attr-defined]
    changed = _changed([history._meta.db_table for history in kept.values()], moment)
    found = {model: history for model, history in kept.items() if history._meta.db_table in changed}
    for model, history in found.items():
        _put_in_front(model, history, moment)
    return frozenset(found)


def take_known_rows(model: type[models.Model], in_front: Models, keys: str, name: str) -> None:
    """A table of the rows of some keys as they were: for statements that join, where a view would be walked whole.

    Args:
        keys: a query of the keys.
    """
    table = model._meta.db_table
    tables.make_like(model, name)
    names = ", ".join(map(quote, tables.columns_of(model)))
    of_keys = f"WHERE t.id IN ({keys})"
    insert = f"INSERT INTO {temporary(name)} ({names}) SELECT {names} FROM"
    if model in in_front:
        of_keys += f" AND NOT EXISTS (SELECT 1 FROM {temporary(f'changed_{table}')} c WHERE c.id = t.id)"
        tables.run(f"{insert} {temporary(f'then_{table}')} t WHERE t.id IN ({keys})")
    tables.run(f"{insert} {original(table)} t {of_keys}")
    if connection.vendor == "postgresql":
        tables.run(f"ANALYZE {temporary(name)}")


def changed_keys(model: type[models.Model], moment: datetime) -> str:
    """A query of the keys of records that changed after the moment, each as often as it changed."""
    history = model.history.model  # type: ignore[attr-defined]
    return f"SELECT id FROM {original(history._meta.db_table)} WHERE history_date > {literal(moment)}"


def _changed(histories: list[str], moment: datetime) -> set[str]:
    """The histories with later entries. One query; each is looked up in its index of dates."""
    each = (f"SELECT '{name}' WHERE EXISTS (SELECT 1 FROM {original(name)} WHERE history_date > {literal(moment)})"
            for name in histories)  # fmt: skip
    return {name for (name,) in tables.rows(" UNION ALL ".join(each))}


def _put_in_front(model: type[models.Model], history: type[models.Model], moment: datetime) -> None:
    table = model._meta.db_table
    keys, then = f"changed_{table}", f"then_{table}"
    tables.make_keys(keys, changed_keys(model, moment))
    tables.make_like(model, then)
    _fill(model, history, keys, then, moment)
    names = ", ".join(f"t.{quote(column)}" for column in tables.columns_of(model))
    unchanged = (f"SELECT {names} FROM {original(table)} t "
                 f"WHERE NOT EXISTS (SELECT 1 FROM {temporary(keys)} c WHERE c.id = t.id)")  # fmt: skip
    if not tables.is_small(model):
        tables.index_like(model, then)
    tables.put_in_front(model, [unchanged, f"SELECT {names} FROM {temporary(then)} t"])
    _put_history_in_front(history, moment)


def _fill(model: type[models.Model], history: type[models.Model], keys: str, then: str, moment: datetime) -> None:
    """Of each changed record the newest entry of the moment, of two at once the one that was written later."""
    kept = {str(field.column) for field in history._meta.concrete_fields}
    values, parameters = [], []
    for field in model._meta.concrete_fields:
        sql, value = _value(model, field, kept)
        values.append(sql)
        parameters += value
    log = original(history._meta.db_table)
    tables.run(
        f"INSERT INTO {temporary(then)} ({', '.join(map(quote, tables.columns_of(model)))}) "
        f"SELECT {', '.join(values)} FROM {temporary(keys)} c JOIN {log} h ON h.history_id = ("
        f"SELECT x.history_id FROM {log} x WHERE x.id = c.id AND x.history_date <= {literal(moment)} "
        f"ORDER BY {in_order('x.history_date')} DESC, x.history_id DESC LIMIT 1) "
        f"LEFT JOIN {original(model._meta.db_table)} p ON p.id = c.id WHERE h.history_type <> '-'",
        parameters or None,
    )


def _value(model: type[models.Model], field: Any, kept: set[str]) -> tuple[str, list[Any]]:
    """Where a column of the past comes from. What no history keeps is as it is now, or blank if the record is gone."""
    column = quote(str(field.column))
    if field.column in kept:
        is_present = field.name in PRESENT.get(model._meta.label, ())
        return (f"CASE WHEN p.id IS NULL THEN h.{column} ELSE p.{column} END" if is_present else f"h.{column}"), []
    if field.null:
        return f"p.{column}", []
    blank = field.get_db_prep_save(field.get_default(), connection)
    return f"COALESCE(p.{column}, %s)", [b"" if field.get_internal_type() == "BinaryField" else blank]


def _put_history_in_front(history: type[models.Model], moment: datetime) -> None:
    """A history of that moment ends there."""
    names = ", ".join(map(quote, tables.columns_of(history)))
    run = f"SELECT {names} FROM {original(history._meta.db_table)} WHERE history_date <= {literal(moment)}"
    tables.run(f"CREATE TEMPORARY VIEW {quote(history._meta.db_table)} AS {run}")
