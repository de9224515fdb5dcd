"""Many plain rows at once, as quickly as either database takes them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from typing import Any

import numpy as np
from django.db import connection

from governance.engine.tables import LongColumn
from governance.verdicts.feed.rows import slices

_SIGNATURE = b"PGCOPY\n\xff\r\n\0" + bytes(8)
_END = b"\xff\xff"
_PARAMETERS = 900
"""Values in one statement; SQLite allows 32,766, older ones 999."""

_POSTGRES_TYPES = {int: "bigint", float: "double precision", str: "text", dict: "jsonb"}


def insert_numbers(table: str, columns: Sequence[str], rows: LongColumn) -> None:
    """Append rows of whole numbers, shape (n_rows, n_columns). The columns must be 64 bits wide.

    PostgreSQL takes them in the binary form of COPY (its manual, "COPY", Binary Format): for each row the number of
    fields, and each field after its length in bytes, all big-endian.
    """
    if not len(rows):
        return
    if connection.vendor != "postgresql":
        _insert_rows(table, columns, rows.tolist())
        return
    parts: list[tuple[str, str]] = [("count", ">i2")]
    for column in columns:
        parts += [(f"{column} bytes", ">i4"), (column, ">i8")]
    block = np.zeros(len(rows), np.dtype(parts))
    block["count"] = len(columns)
    for number, column in enumerate(columns):
        block[f"{column} bytes"] = 8
        block[column] = rows[:, number]
    _copy(f"COPY {table} ({', '.join(columns)}) FROM STDIN (FORMAT BINARY)", _SIGNATURE + block.tobytes() + _END)


def insert_new(table: str, columns: Sequence[str], kinds: Sequence[type], rows: Sequence[Sequence[Any]]) -> None:
    """Insert those rows that break no unique constraint.

    kinds: int, float, str, or dict (JSON as text) for each column.
    """
    if not rows:
        return
    if connection.vendor != "postgresql":
        _insert_rows(table, columns, rows, " ON CONFLICT DO NOTHING")
        return
    arrays = ", ".join(f"%s::{_POSTGRES_TYPES[kind]}[]" for kind in kinds)
    names = ", ".join(columns)
    sql = f"INSERT INTO {table} ({names}) SELECT * FROM unnest({arrays}) ON CONFLICT DO NOTHING"
    with connection.cursor() as cursor:
        cursor.execute(sql, [list(column) for column in zip(*rows, strict=True)])


def _insert_rows(table: str, columns: Sequence[str], rows: Sequence[Sequence[Any]], more: str = "") -> None:
    """Many rows in one statement: one by one they take four times as long."""
    row = f"({', '.join(['%s'] * len(columns))})"
    with connection.cursor() as cursor:
        for some in slices(rows, _PARAMETERS // len(columns)):
            values = ", ".join([row] * len(some))
            sql = f"INSERT INTO {table} ({', '.join(columns)}) VALUES {values}{more}"
            cursor.execute(sql, list(chain.from_iterable(some)))


def _copy(sql: str, data: bytes) -> None:
    with connection.cursor() as cursor, cursor.copy(sql) as copy:
        copy.write(data)
