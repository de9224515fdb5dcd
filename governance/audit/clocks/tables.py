"""Temporary tables and views that stand in front of tables of the register, on SQLite and PostgreSQL.

Both databases look for a name without a schema among the temporary ones of the connection first.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, Final

from django.db import connection, models

SMALL: Final = 20_000
"""Rows up to which a table is copied with its indexes; a larger one is a view: what is still as it was, and beside it a
table of the rows that were otherwise."""

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


def is_small(model: type[models.Model]) -> bool:
    """Told by its largest key, which the database knows without counting."""
    key = quote(str(model._meta.pk.column))
    ((largest,),) = rows(f"SELECT max({key}) FROM {original(model._meta.db_table)}")
    return not isinstance(largest, int) or largest <= SMALL


def make_keys(name: str, select: str) -> int:
    """A table of keys, each once; how many."""
    run(f"CREATE TEMPORARY TABLE {quote(name)} (id bigint NOT NULL, PRIMARY KEY (id))" if
        connection.vendor == "postgresql" else f"CREATE TEMPORARY TABLE {quote(name)} (id integer PRIMARY KEY)")  # fmt: skip
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
    told = rows(f"SELECT name, type, pk FROM pragma_table_info('{table}', 'main') ORDER BY cid")
    columns = ", ".join(f"{quote(c)} {kind}{' PRIMARY KEY' if is_key else ''}" for c, kind, is_key in told)
    run(f"CREATE TEMPORARY TABLE {quote(name)} ({columns})")


def index_like(model: type[models.Model], name: str) -> None:
    """The indexes of the original on its copy, none of them unique: added once the rows are there."""
    table = model._meta.db_table
    if connection.vendor == "postgresql":
        for (made,) in rows(f"SELECT indexdef FROM pg_indexes WHERE schemaname = 'public' AND tablename = '{table}' "
                            f"AND indexname NOT IN (SELECT conname FROM pg_constraint WHERE contype = 'p')"):  # fmt: skip
            run(f"CREATE INDEX ON {temporary(name)} {_found(made)['rest']}")
        run(f"ANALYZE {temporary(name)}")
        return
    made_by_hand = f"SELECT sql FROM main.sqlite_master WHERE type = 'index' AND tbl_name = '{table}' AND sql > ''"
    rests = [made[made.index("(") :] for (made,) in rows(made_by_hand)]
    rests += [f"({columns})" for (columns,) in rows(
        f"SELECT (SELECT group_concat('\"' || name || '\"') FROM pragma_index_info(l.name, 'main')) "
        f"FROM pragma_index_list('{table}', 'main') l WHERE l.origin = 'u'"
    )]  # fmt: skip
    for number, rest in enumerate(rests):
        run(f"CREATE INDEX {temporary(f'{name}_{number}')} ON {quote(name)} {rest}")


def _found(made: str) -> re.Match[str]:
    found = _INDEX.match(made)
    if found is None:
        raise ValueError(f"an index that is written in another way: {made}")
    return found


def put_in_front(model: type[models.Model], selects: Sequence[str]) -> None:
    """Let the rows of these queries stand for the table: copied if it is small, else seen through a view."""
    table = model._meta.db_table
    if not is_small(model):
        run(f"CREATE TEMPORARY VIEW {quote(table)} AS {' UNION ALL '.join(selects)}")
        return
    make_like(model, table)
    names = ", ".join(map(quote, columns_of(model)))
    for select in selects:
        run(f"INSERT INTO {temporary(table)} ({names}) {select}")
    index_like(model, table)
