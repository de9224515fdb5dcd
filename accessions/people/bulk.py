"""Many rows at once, past the models: COPY on PostgreSQL, prepared statements on SQLite, history set by set.

A row through a model costs about 100 microseconds; a file of 100,000 rows has a few seconds. Whoever writes by this
module inside an action's transaction writes the history in it too (``insert`` does) and leaves the touch.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import Any

from django.db import connection, models
from django.db.models import Q
from django.db.models.expressions import RawSQL

from accessions.people.blocks import write_rows
from accessions.people.history import CHANGED, CREATED, DELETED, copy_to_history

_KEYS_AT_ONCE = 10_000


def reserve_keys(model: type[models.Model], count: int) -> Sequence[int]:
    """Primary keys for new rows, never used before. Inside the transaction that inserts them."""
    if not count:
        return ()
    table = model._meta.db_table
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT nextval(pg_get_serial_sequence(%s, 'id')) FROM generate_series(1, %s)", [table, count]
            )
            return [key for (key,) in cursor.fetchall()]
        # The transaction holds the write lock of the whole file (transaction_mode IMMEDIATE in the settings).
        cursor.execute("SELECT seq FROM sqlite_sequence WHERE name = %s", [table])
        used = cursor.fetchone()
        cursor.execute(f"SELECT max(id) FROM {connection.ops.quote_name(table)}")
        first = max((used or (0,))[0] or 0, cursor.fetchone()[0] or 0) + 1
    return range(first, first + count)


def insert(model: type[models.Model], fields: Sequence[str], rows: Iterable[Sequence[Any]], keys: Sequence[int], *,
           by: Any, why: str) -> None:  # fmt: skip
    """Insert rows, and their history where the model keeps one.

    Args:
        fields: attribute names of the columns; those not named take the default of the model.
        rows: as many as keys, one value a field. They are not checked here but by the database alone.
        keys: from ``reserve_keys``.
    """
    if not keys:
        return
    rest = [field for field in model._meta.concrete_fields if field.attname not in {"id", *fields}]
    constants = tuple(field.get_default() for field in rest)
    columns = ["id", *(_column(model, name) for name in fields), *(str(field.column) for field in rest)]
    adapted = _adapted(rows, [model._meta.get_field(name) for name in fields])
    complete = ((key, *row, *constants) for key, row in zip(keys, adapted, strict=True))
    write_rows(model._meta.db_table, columns, complete)
    if hasattr(model, "history"):
        _history(model, keys, CREATED, by=by, why=why)


def update(model: type[models.Model], fields: Sequence[str], rows: Iterable[Sequence[Any]], keys: Sequence[int], *,
           by: Any, why: str) -> None:  # fmt: skip
    """Overwrite columns of rows, and write their history. rows: as many as keys, one value a field."""
    if not keys:
        return
    quote = connection.ops.quote_name
    sets = ", ".join(f"{quote(_column(model, name))} = %s" for name in fields)
    with connection.cursor() as cursor:
        cursor.executemany(
            f"UPDATE {quote(model._meta.db_table)} SET {sets} WHERE id = %s",
            [(*row, key) for key, row in zip(keys, rows, strict=True)],
        )
    if hasattr(model, "history"):
        _history(model, keys, CHANGED, by=by, why=why)


def remove_rows(model: type[models.Model], field: str, keys: Collection[int], *, by: Any, why: str) -> int:
    """Delete the rows whose column holds one of some keys, with their history where the model keeps one; how many.

    What hangs on them is not followed: the database refuses what would hang in the air.
    """
    name = model._meta.pk.column if field == "pk" else _column(model, field)
    is_postgresql = connection.vendor == "postgresql"
    is_one = "= ANY(%s)" if is_postgresql else "IN (SELECT value FROM json_each(%s))"
    condition = f"{connection.ops.quote_name(str(name))} {is_one}"
    listed: Any = list(keys) if is_postgresql else json.dumps(list(keys))
    if hasattr(model, "history"):
        copy_to_history(model, condition, [listed], by=by, why=why, kind=DELETED)
    with connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {connection.ops.quote_name(model._meta.db_table)} WHERE {condition}", [listed])
        return int(cursor.rowcount)


def among(column: str, keys: Iterable[int]) -> Q:
    """Whether a column is one of some keys, however many these are."""
    listed = ",".join(str(int(key)) for key in sorted(keys))
    split = "SELECT unnest(string_to_array(%s, ',')::bigint[])" if connection.vendor == "postgresql" else (
        "SELECT value FROM json_each('[' || %s || ']')")  # fmt: skip
    return Q(**{f"{column}__in": RawSQL(split, (listed,))})


def _adapted(rows: Iterable[Sequence[Any]], fields: Sequence[Any]) -> Iterable[Sequence[Any]]:
    """Days as ISO 8601 text, which both databases read; the driver of SQLite has no form of its own for them."""
    days = [index for index, field in enumerate(fields) if field.get_internal_type() == "DateField"]
    return (_with_text(row, days) for row in rows) if days else rows


def _with_text(row: Sequence[Any], days: Sequence[int]) -> Sequence[Any]:
    cells = list(row)
    for index in days:
        cells[index] = cells[index] and cells[index].isoformat()
    return cells


def found_by(model: type[models.Model], field: str, texts: Collection[str], *wanted: str) -> Iterator[tuple[Any, ...]]:
    """Rows whose text is one of many, however many: the texts travel as one parameter.

    Args:
        field: the column of text; none of the texts is blank.
        wanted: attribute names of the columns to give.
    """
    stated = list(texts)
    if not stated:
        return
    quote = connection.ops.quote_name
    column, columns = quote(_column(model, field)), ", ".join(quote(_column(model, name)) for name in wanted)
    is_postgresql = connection.vendor == "postgresql"
    is_one = "= ANY(%s)" if is_postgresql else "IN (SELECT value FROM json_each(%s))"
    with connection.cursor() as cursor:
        cursor.execute(  # the blank is left out, in the words of an index of filled texts alone, so that it can be used
            f"SELECT {columns} FROM {quote(model._meta.db_table)} WHERE {column} {is_one} AND NOT {column} = ''",
            [stated if is_postgresql else json.dumps(stated)],
        )
        yield from cursor.fetchall()


def _column(model: type[models.Model], name: str) -> str:
    column = model._meta.get_field(name).column  # type: ignore[union-attr]  # a concrete field has a column
    return str(column)


def _history(model: type[models.Model], keys: Sequence[int], kind: str, *, by: Any, why: str) -> None:
    if connection.vendor == "postgresql":
        copy_to_history(model, "id = ANY(%s)", [list(keys)], by=by, why=why, kind=kind)
    elif isinstance(keys, range):
        copy_to_history(model, "id BETWEEN %s AND %s", [keys[0], keys[-1]], by=by, why=why, kind=kind)
    else:
        for start in range(0, len(keys), _KEYS_AT_ONCE):
            some = keys[start : start + _KEYS_AT_ONCE]
            marks = ", ".join(["%s"] * len(some))
            copy_to_history(model, f"id IN ({marks})", some, by=by, why=why, kind=kind)
