"""Rows written with their history: many new ones at once, or the columns of one that differ."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from django.db import models, transaction

from accessions.people.announcing import announce
from accessions.people.history import WHY_LENGTH, record

_BATCH_ROWS = 500
T = TypeVar("T", bound=models.Model)


def create_rows(table: type[T], rows: list[T], *, by: Any, why: str) -> list[T]:
    """New rows: two inserts, rows and history, however many."""
    if not rows:
        return []
    with transaction.atomic(savepoint=False):
        made = table._default_manager.bulk_create(rows, batch_size=_BATCH_ROWS)
        histories = table.history.bulk_history_create(  # type: ignore[attr-defined]
            made, batch_size=_BATCH_ROWS, default_user=by, default_change_reason=why[:WHY_LENGTH]
        )
        announce(table.history.model, [one.pk for one in histories], by=by)  # type: ignore[attr-defined]
    return made


def change_row(row: models.Model, columns: Mapping[str, Any], *, by: Any, why: str) -> bool:
    """Save the columns that differ; whether any did."""
    changed = [name for name, value in columns.items() if getattr(row, name) != value]
    for name in changed:
        setattr(row, name, columns[name])
    if changed:
        record(row, by=by, why=why, fields=changed)
    return bool(changed)
