"""Temporary tables and views that stand in front of tables of the register, on SQLite and PostgreSQL.

Both databases look for a name without a schema among the temporary ones of the connection first.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, Final

from django.db import connection, models

SMALL: Final = 20_000
"""Rows up to which PostgreSQL copies a table with its indexes; a larger one is a view there: what is still as it was,
and beside it a table of the rows that were otherwise. SQLite walks such a view whole in every join, but copies a table
with its indexes page by page, a million rows in seconds; so there all are copied."""

_INDEX: Final = re.compile(r"^\s*CREATE\s+(?:UNIQUE\s+)?INDEX\s+(?P<name>\"[^\"]+\"|\S+)\s+ON\s+\S+\s*(?P<rest>.*)$",
                           re.IGNORECASE | re.DOTALL)  # fmt: skip


def run(sql: str, parameters: Sequence[Any] | None = None) -> None:
    """Run a statement. Without parameters it is taken as it stands, percent signs too."""
    with connection.cursor() as cursor:
        cursor.execute(sql, parameters)


def rows(sql: str) -> list[tuple[Any, ...]]:
    """All rows of a query."""
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return list(cursor.fetchall())


def quote(name: str) -> str:
    return str(connection.ops.quote_name(name))


def original(table: str) -> str:
    """The table itself, whatever stands in front of it."""
    return f"{'public' if connection.vendor == 'postgresql' else 'main'}.{quote(table)}"


def temporary(table: str) -> str:
    """What stands in front of it."""
    return f"{'pg_temp' if connection.vendor == 'postgresql' else 'temp'}.{quote(table)}"


def columns_of(model: type[models.Model]) -> list[str]:
    return [str(field.column) for field in model._meta.concrete_fields]


def is_copied(model: type[models.Model]) -> bool:
    """Told by its largest key, which the database knows without counting."""
    if connection.vendor == "sqlite":
        return True
    key = quote(str(model._meta.pk.column))
    ((largest,),) = rows(f"SELECT max({key}) FROM {original(model._meta.db_table)}")
    return not isinstance(largest, int) or largest <= SMALL


def make_keys(name: str, select: str) -> int:
    """A table of keys, each once; how many."""
    kind = "bigint" if connection.vendor == "postgresql" else "integer"
    run(f"CREATE TEMPORARY TABLE {quote(name)} (id {kind} PRIMARY KEY)")
    run(f"INSERT INTO {temporary(name)} (id) SELECT id FROM ({select}) AS k WHERE TRUE ON CONFLICT DO NOTHING")
    ((count,),) = rows(f"SELECT count(*) FROM {temporary(name)}")
    if connection.vendor == "postgresql":
        run(f"ANALYZE {temporary(name)}")
    return int(count)


def make_like(model: type[models.Model], name: str) -> None:
    """An empty table with the columns of another one. It checks nothing: what it takes in stood in the register."""
    table = model._meta.db_table
    if connection.vendor == "postgresql":
        run(f"CREATE TEMPORARY TABLE {quote(name)} (LIKE {original(table)})")
        run(f"ALTER TABLE {temporary(name)} ADD PRIMARY KEY ({quote(str(model._meta.pk.column))})")
        return
    told = rows(f"SELECT name, type, dflt_value, pk FROM pragma_table_info('{table}', 'main') ORDER BY cid")
    columns = ", ".join(
        f"{quote(c)} {kind}{f' DEFAULT {default}' if default is not None else ''}{' PRIMARY KEY' if is_key else ''}"
        for c, kind, default, is_key in told
    )
    run(f"CREATE TEMPORARY TABLE {quote(name)} ({columns})")


def copy(model: type[models.Model]) -> None:
    """Put a whole copy of a table with its indexes in front of it.

    SQLite moves the pages of table and index as they are, without a look at a row, if both have the same columns and
    each index of the copy is one of the original: that is why unique ones are made afterwards.
    """
    table = model._meta.db_table
    make_like(model, table)
    if connection.vendor == "postgresql":
        names = ", ".join(map(quote, columns_of(model)))
        run(f"INSERT INTO {temporary(table)} ({names}) SELECT {names} FROM {original(table)}")
        index_like(model, table)
        return
    plain, unique = _indexes(table)
    _index(table, plain, "plain")
    run(f"INSERT INTO {temporary(table)} SELECT * FROM {original(table)}")
    _index(table, unique, "unique")


def _indexes(table: str) -> tuple[list[str], list[str]]:
    """What the indexes of a table of SQLite are on: those that are not unique, those that are."""
    made = rows(
        f'SELECT l."unique", (SELECT m.sql FROM main.sqlite_master m WHERE m.name = l.name), '
        f"(SELECT group_concat('\"' || i.name || '\"') FROM pragma_index_info(l.name, 'main') i) "
        f"FROM pragma_index_list('{table}', 'main') l WHERE l.origin <> 'pk'"
    )
    on = [(is_unique, sql[sql.index("(") :] if sql else f"({names})") for is_unique, sql, names in made]
    return [one for is_unique, one in on if not is_unique], [one for is_unique, one in on if is_unique]


def _index(name: str, on: Sequence[str], sort: str) -> None:
    for number, one in enumerate(on):
        run(f"CREATE INDEX {temporary(f'{name}_{sort}_{number}')} ON {quote(name)} {one}")


def index_like(model: type[models.Model], name: str) -> None:
    """The indexes of the original on another table of PostgreSQL, none of them unique: what stood in the register once
    is checked no more. Made once the rows are there."""
    for (made,) in rows(
        f"SELECT indexdef FROM pg_indexes WHERE schemaname = 'public' AND tablename = '{model._meta.db_table}' "
        "AND indexname NOT IN (SELECT conname FROM pg_constraint WHERE contype = 'p')"
    ):  # fmt: skip
        run(f"CREATE INDEX ON {temporary(name)} {_found(made)['rest']}")
    run(f"ANALYZE {temporary(name)}")


def _found(made: str) -> re.Match[str]:
    found = _INDEX.match(made)
    if found is None:
        raise ValueError(f"an index that is written in another way: {made}")
    return found


def put_query_in_front(model: type[models.Model], select: str) -> None:
    """Let the rows of a query stand for a table."""
    run(f"CREATE TEMPORARY VIEW {quote(model._meta.db_table)} AS {select}")


def put_rows_in_front(model: type[models.Model], keys: str, then: str) -> None:
    """Let the rows of ``then`` stand for those of a table whose keys are in ``keys``; the others are as they are."""
    table, key = model._meta.db_table, quote(str(model._meta.pk.column))
    names = ", ".join(map(quote, columns_of(model)))
    if is_copied(model):
        copy(model)
        run(f"DELETE FROM {temporary(table)} WHERE {key} IN (SELECT id FROM {temporary(keys)})")
        run(f"INSERT INTO {temporary(table)} ({names}) SELECT {names} FROM {temporary(then)}")
        return
    index_like(model, then)
    unchanged = f"NOT EXISTS (SELECT 1 FROM {temporary(keys)} c WHERE c.id = {original(table)}.{key})"
    present = f"SELECT {names} FROM {original(table)} WHERE {unchanged}"
    put_query_in_front(model, f"{present} UNION ALL SELECT {names} FROM {temporary(then)}")
