"""What people call a row that the check of the seal found, however it was changed."""

from __future__ import annotations

from typing import Any, Final

from django.db import models
from django.utils.translation import gettext as _

from accessions.people.seal_shapes import is_history
from governance.audit.sealed_tables import models_by_table

_NAMES: Final = (
    "reference", "entry_number", "catalog_number", "number", "letter", "code", "username", "title", "original_name",
    "name", "form", "file_name", "shown",
)  # fmt: skip
_OWNERS: Final = (
    "paper", "specimen", "report", "plan", "accession", "site", "scan", "request", "use", "version", "sheet", "run",
    "agent", "table", "question", "stop", "delivery", "application",
)  # fmt: skip


def table_name(table: str) -> str:
    """``history of papers``, ``links of papers``, or the table's own name where no model has it."""
    model = models_by_table().get(table)
    if model is None:
        return table
    if is_history(model):
        return _("history of %(rows)s") % {"rows": model.instance_type._meta.verbose_name_plural}  # type: ignore[attr-defined]
    return str(model._meta.verbose_name_plural)


def called(model: type[models.Model], key: int | None) -> str:
    """A record by the number that people know, and its key: ``XX 2008/3 (12)``; the key alone where nothing is known.

    Asked for at most a hundred of a kind, so it takes a query or two a row.
    """
    if key is None:
        return ""
    if is_history(model):
        row = model._base_manager.filter(pk=key).first()
        record = called(model.instance_type, getattr(row, "id", None)) if row is not None else ""  # type: ignore[attr-defined]
        return _("entry %(key)s") % {"key": key} + (f", {record}" if record else "")
    row = model._base_manager.filter(pk=key).first()
    name = _name(row) if row is not None else _name_in_history(model, key)
    return f"{name} ({key})" if name else str(key)


def _name_in_history(model: type[models.Model], key: int) -> str:
    history: Any = getattr(model, "history", None)
    row = history.filter(**{model._meta.pk.attname: key}).last() if history is not None else None
    return _name(row) if row is not None else ""


def _name(row: Any, depth: int = 2) -> str:
    """Its own number, or those of what it belongs to."""
    for field in _NAMES:
        if text := getattr(row, field, ""):
            own = str(text)
            break
    else:
        own = ""
    if (own and not own.isdigit()) or not depth:
        return own
    owners = (_owner(row, owner) for owner in _OWNERS)
    above = next((name for owner in owners if owner is not None and (name := _name(owner, depth - 1))), "")
    return " ".join(filter(None, (above, own)))


def _owner(row: Any, name: str) -> Any:
    try:
        return getattr(row, name, None)
    except models.ObjectDoesNotExist:
        return None
