"""Rows written with their history: many new ones at once, or the columns of one that differ."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from django.db import models
from simple_history.utils import bulk_create_with_history

from accessions.people.history import WHY_LENGTH, record

_BATCH_ROWS = 500
T = TypeVar("T", bound=models.Model)


def create_rows(table: type[T], rows: list[T], *, by: Any, why: str) -> list[T]:
    """New rows: two inserts, rows and history, however many."""
    if not rows:
        return []
    made: list[T] = bulk_create_with_history(
        rows, table, batch_size=_BATCH_ROWS, default_user=by, default_change_reason=why[:WHY_LENGTH]
    )
    return made


def change_row(row: models.Model, columns: Mapping[str, Any], *, by: Any, why: str) -> bool:
    """Save the columns that differ; whether any did."""
    changed = [name for name, value in columns.items() if getattr(row, name) != value]
    for name in changed:
        setattr(row, name, columns[name])
    if changed:
        record(row, by=by, why=why, fields=changed)
    return bool(changed)
