"""Many rows into a table at once, past the models."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import connection


def write_rows(table: str, columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    """COPY on PostgreSQL, a prepared statement on SQLite."""
    quote = connection.ops.quote_name
    names = ", ".join(map(quote, columns))
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {quote(table)} ({names}) FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(row)
            return
        marks = ", ".join(["%s"] * len(columns))
        cursor.executemany(f"INSERT INTO {quote(table)} ({names}) VALUES ({marks})", rows)  # type: ignore[arg-type]
