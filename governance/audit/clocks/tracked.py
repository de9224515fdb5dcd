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

Model = type[models.Model]


def changed_since(moment: datetime) -> list[Model]:
    """The models with a history that have later entries. One query, which looks into the index of dates of each."""
    kept = {_history(model)._meta.db_table: model for model in tracked_models() if model._meta.label not in AS_NOW}
    each = (f"SELECT '{name}' WHERE EXISTS (SELECT 1 FROM {original(name)} WHERE history_date > {literal(moment)})"
            for name in kept)  # fmt: skip
    return [kept[name] for (name,) in tables.rows(" UNION ALL ".join(each))]


def _history(model: Model) -> Model:
    history: Model = model.history.model  # type: ignore[attr-defined]
    return history


def history_table(model: Model) -> str:
    return str(_history(model)._meta.db_table)


def keys_name(model: Model) -> str:
    return f"changed_{model._meta.db_table}"


def then_name(model: Model) -> str:
    return f"then_{model._meta.db_table}"


def changed_keys(model: Model, moment: datetime) -> str:
    """A query of the keys of records that changed after the moment, each as often as it changed."""
    return f"SELECT id FROM {original(history_table(model))} WHERE history_date > {literal(moment)}"


def take_changed(model: Model, moment: datetime) -> None:
    """Two tables: the keys of the records that changed after the moment, and those records as they were."""
    tables.make_keys(keys_name(model), changed_keys(model, moment))
    tables.make_like(model, then_name(model))
    _fill(model, moment)


def put_in_front(model: Model) -> None:
    """Let a table be as it was; ``take_changed`` came before."""
    tables.put_rows_in_front(model, keys_name(model), then_name(model))


def put_history_in_front(model: Model, moment: datetime) -> None:
    """A history of that moment ends there."""
    history = _history(model)
    names = ", ".join(map(quote, tables.columns_of(history)))
    until = f"SELECT {names} FROM {original(history._meta.db_table)} WHERE history_date <= {literal(moment)}"
    tables.put_query_in_front(history, until)


def take_known_rows(model: Model, name: str, keys: str, *, is_changed: bool) -> None:
    """A table of the rows of some keys as they were.

    Args:
        keys: a query of the keys.
        is_changed: whether anything changed since; then ``take_changed`` came before.
    """
    tables.make_like(model, name)
    names = ", ".join(map(quote, tables.columns_of(model)))
    insert, of_keys = f"INSERT INTO {temporary(name)} ({names}) SELECT {names} FROM", f"WHERE t.id IN ({keys})"
    others = ""
    if is_changed:
        tables.run(f"{insert} {temporary(then_name(model))} t {of_keys}")
        others = f" AND NOT EXISTS (SELECT 1 FROM {temporary(keys_name(model))} c WHERE c.id = t.id)"
    tables.run(f"{insert} {original(model._meta.db_table)} t {of_keys}{others}")
    if connection.vendor == "postgresql":
        tables.run(f"ANALYZE {temporary(name)}")


def _fill(model: Model, moment: datetime) -> None:
    """Of each changed record the newest entry of the moment, of two at once the one that was written later."""
    kept = {str(field.column) for field in _history(model)._meta.concrete_fields}
    values, parameters = [], []
    for field in model._meta.concrete_fields:
        sql, value = _value(model, field, kept)
        values.append(sql)
        parameters += value
    log = original(history_table(model))
    tables.run(
        f"INSERT INTO {temporary(then_name(model))} ({', '.join(map(quote, tables.columns_of(model)))}) "
        f"SELECT {', '.join(values)} FROM {temporary(keys_name(model))} c JOIN {log} h ON h.history_id = ("
        f"SELECT x.history_id FROM {log} x WHERE x.id = c.id AND x.history_date <= {literal(moment)} "
        f"ORDER BY {in_order('x.history_date')} DESC, x.history_id DESC LIMIT 1) "
        f"LEFT JOIN {original(model._meta.db_table)} p ON p.id = c.id WHERE h.history_type <> '-'",
        parameters or None,
    )


def _value(model: Model, field: Any, kept: set[str]) -> tuple[str, list[Any]]:
    """Where a column of the past comes from. What no history keeps is as it is now, or blank if the record is gone."""
    column = quote(str(field.column))
    if field.column in kept:
        is_present = field.name in PRESENT.get(model._meta.label, ())
        return (f"CASE WHEN p.id IS NULL THEN h.{column} ELSE p.{column} END" if is_present else f"h.{column}"), []
    if field.null:
        return f"p.{column}", []
    blank = field.get_db_prep_save(field.get_default(), connection)
    return f"COALESCE(p.{column}, %s)", [b"" if field.get_internal_type() == "BinaryField" else blank]
