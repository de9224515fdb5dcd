"""History of what people change: every write of an action leaves who, when and why, in the same transaction.

``record`` saves one row. Bulk writes go past the models, so ``copy_to_history`` writes their history set by set:
one INSERT .. SELECT instead of a row at a time.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import connection, models
from django.utils import timezone

from accessions.people.announcing import announce

CREATED, CHANGED, DELETED = "+", "~", "-"
"""Kinds of history rows, as django-simple-history writes them."""

WHY_LENGTH = 100
"""Longest reason that a history row holds."""

_KEYS_AT_ONCE = 10_000


def record(row: models.Model, *, by: Any, why: str, fields: Iterable[str] | None = None) -> None:
    """Save a row with who and why. fields: only those columns (``update_fields``); None: all, as for a new row."""
    row._history_user = by  # type: ignore[attr-defined]
    row._change_reason = why[:WHY_LENGTH]  # type: ignore[attr-defined]
    row.save(update_fields=None if fields is None else list(fields))


def remove(row: models.Model, *, by: Any, why: str) -> None:
    """Delete a row; its history stays, with who and why."""
    row._history_user = by  # type: ignore[attr-defined]
    row._change_reason = why[:WHY_LENGTH]  # type: ignore[attr-defined]
    row.delete()


def copy_to_history(model: type[models.Model], rows: str, parameters: Sequence[Any], *, by: Any, why: str,
                    kind: str = CREATED) -> None:  # fmt: skip
    """Write the present state of many rows into the history of their model.

    Args:
        rows: the SQL condition on the model's table that picks the rows, with ``%s`` for each of the parameters; it is
            written by the caller and never holds text from outside.
        kind: ``CREATED``, ``CHANGED``, or ``DELETED`` (before the rows go).
    """
    history = model.history.model  # type: ignore[attr-defined]
    kept = {field.column for field in history._meta.concrete_fields}
    columns = [str(field.column) for field in model._meta.concrete_fields if field.column in kept]
    quote = connection.ops.quote_name
    own = ", ".join(map(quote, columns))
    key = quote(history._meta.pk.column)
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {quote(history._meta.db_table)} "
            f"({own}, history_date, history_change_reason, history_type, history_user_id) "
            f"SELECT {own}, %s, %s, %s, %s FROM {quote(model._meta.db_table)} WHERE {rows} RETURNING {key}",
            [timezone.now(), why[:WHY_LENGTH], kind, by.pk if by else None, *parameters],
        )
        announce(
            history, (made for some in iter(lambda: cursor.fetchmany(_KEYS_AT_ONCE), []) for (made,) in some), by=by
        )
