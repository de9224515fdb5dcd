"""Rows for many keys in one statement: the desk asks of one specimen and of ten thousand alike."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from datetime import date
from typing import Any

from django.db import connection

KEYS = "{keys}"
"""Where the condition on the keys stands in the text of a statement: ``WHERE id {keys}``."""


def rows_by_keys(sql: str, *keys: Collection[Any]) -> list[tuple[Any, ...]]:
    """All rows of a statement.

    Args:
        sql: written by the caller, with ``{keys}`` after each column that is held against keys; it never holds text
            from outside.
        keys: one collection for each such place, of whole numbers or of texts.
    """
    is_postgres = connection.vendor == "postgresql"
    condition = "= ANY(%s)" if is_postgres else "IN (SELECT value FROM json_each(%s))"
    parameters: Sequence[Any] = [list(some) if is_postgres else json.dumps(list(some)) for some in keys]
    with connection.cursor() as cursor:
        cursor.execute(sql.replace(KEYS, condition), parameters)
        found: list[tuple[Any, ...]] = cursor.fetchall()
    return found


def day_of_row(value: date | str | None) -> date | None:
    """A day of such a row: SQLite gives it as text, of a moment its day."""
    if isinstance(value, str):
        return date.fromisoformat(value[:10]) if value else None
    return value
