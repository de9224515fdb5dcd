"""Writing the values that a person typed: only fields that may be edited, only those that changed, always valid."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from django.db import models

from accessions.people.history import record


class NotEditableError(ValueError):
    """An action was given a field that it does not write."""


def add(row: models.Model, *, by: Any, why: str) -> None:
    """Save a new row once it is valid; a constraint that it breaks becomes an error in words.

    Raises:
        ValidationError: the row may not be so.
    """
    row.full_clean()
    record(row, by=by, why=why)


def change(row: models.Model, values: Mapping[str, Any], *, editable: Collection[str], by: Any, why: str) -> list[str]:
    """Set the values that differ and save those columns alone, so that two people at two fields both keep theirs.

    Returns:
        the names of the fields that changed; nothing is written if there are none.

    Raises:
        NotEditableError: a field that this action does not write.
        ValidationError: the row may not be so.
    """
    unknown = set(values) - set(editable)
    if unknown:
        raise NotEditableError(f"not editable here: {', '.join(sorted(unknown))}; editable: {', '.join(editable)}")
    row.refresh_from_db()
    changed = [name for name, value in values.items() if getattr(row, name) != value]
    for name in changed:
        setattr(row, name, values[name])
    if changed:
        row.full_clean()
        record(row, by=by, why=why, fields=changed)
    return changed
