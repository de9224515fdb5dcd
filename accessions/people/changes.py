"""The history of records as people read it: who changed what, when, why, from which value to which."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db import models
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from accessions.people.access import roles_of_bits
from accessions.people.history import CHANGED, CREATED, DELETED

MOST_CHANGES = 200
"""The newest so many are read for a page."""


@dataclass(frozen=True)
class FieldChange:
    """One field of a change, in words; before is "" where nothing stood."""

    label: str
    before: str
    after: str


@dataclass(frozen=True)
class Change:
    """One entry of the history of a record."""

    at: datetime
    by: str
    did: str
    what: str
    why: str
    fields: tuple[FieldChange, ...]


_NAMING = ("entry_number", "number", "letter", "catalog_number", "code", "name", "form", "username")
"""Fields by which a row is told from its like, the best first."""


def changes_of(model: type[models.Model], called: str = "", **where: Any) -> list[Change]:
    """The changes of the rows that match, newest first: one query, and one for each kind of record that a change put in
    the place of another, whatever the number of rows.

    called: what the page calls such a row; "": as the model does.
    """
    history = model.history  # type: ignore[attr-defined]
    rows = list(
        history.filter(**where).select_related("history_user").order_by("-history_date", "-history_id")[:MOST_CHANGES]
    )
    shown = called or str(model._meta.verbose_name)
    return changes_between(model, list(_with_the_one_before(rows)), shown)


def changes_between(model: type[models.Model], pairs: list[tuple[Any, Any]], called: str) -> list[Change]:
    """What each entry of the history changed: pairs of an entry and the one before it of the same record, or None."""
    names = _names_of_others(model, pairs)
    return [_change(model, called, row, before, names) for row, before in pairs]


def newest_first(*lists: list[Change]) -> list[Change]:
    """Histories of several models as one."""
    return sorted((change for changes in lists for change in changes), key=lambda change: change.at, reverse=True)


def _with_the_one_before(rows: list[Any]) -> Iterator[tuple[Any, Any]]:
    of_record: dict[Any, list[Any]] = defaultdict(list)
    for row in rows:
        of_record[row.id].append(row)
    for row in rows:
        older = of_record[row.id]
        older.pop(0)
        yield row, (older[0] if older else None)


_Names = dict[tuple[str, Any], str]
"""What another record is called, by column and key."""

_CALLED = ("shown_name", "shown", "reference", *_NAMING)


def _names_of_others(model: type[models.Model], pairs: list[tuple[Any, Any]]) -> _Names:
    """The names of the records that a column led to before or after a change; of those without a name, nothing."""
    names: _Names = {}
    for field in (one for one in model._meta.concrete_fields if one.is_relation):
        changed = [pair for pair in pairs if pair[1] is not None and _differs(field, *pair)]
        keys = {getattr(row, field.attname) for pair in changed for row in pair} - {None}
        if keys:
            others: Any = field.related_model
            for key, other in others._base_manager.in_bulk(keys).items():
                called = next((text for name in _CALLED if (text := getattr(other, name, ""))), "")
                names[field.name, key] = str(called)
    return names


def _differs(field: Any, row: Any, before: Any) -> bool:
    return bool(field.editable) and getattr(row, field.attname, None) != getattr(before, field.attname, None)


def _change(model: type[models.Model], called: str, row: Any, before: Any, names: _Names) -> Change:
    did = {
        CREATED: pgettext("history", "added"),
        CHANGED: pgettext("history", "changed"),
        DELETED: pgettext("history", "removed"),
    }[row.history_type]
    return Change(
        at=row.history_date,
        by=row.history_user.shown_name if row.history_user else _("the register"),
        did=did,
        what=_name_of(called, row),
        why=row.history_change_reason or "",
        fields=_differences(model, row, before, names) if row.history_type == CHANGED and before else (),
    )


def _name_of(called: str, row: Any) -> str:
    texts = (getattr(row, name, "") for name in _NAMING)
    shown = next((str(text) for text in texts if isinstance(text, str | int) and text != ""), "")
    for choice in ("get_layer_display", "get_use_display"):
        if not shown and hasattr(row, choice):
            shown = str(getattr(row, choice)() or "")
    return f"{called[:1].upper()}{called[1:]} {shown}".strip()


def _differences(model: type[models.Model], row: Any, before: Any, names: _Names) -> tuple[FieldChange, ...]:
    return tuple(
        FieldChange(str(field.verbose_name), _shown(field, before, names), _shown(field, row, names))
        for field in model._meta.concrete_fields
        if _differs(field, row, before)
    )


def _shown(field: Any, row: Any, names: _Names) -> str:
    value = getattr(row, field.attname, None)
    if value is None or value == "":
        return ""
    if field.is_relation:
        return names.get((field.name, value)) or str(value)
    if isinstance(value, dict):
        return "; ".join(f"{key}: {text}" for key, text in value.items())
    if isinstance(value, list):
        return ", ".join(map(str, value))
    if field.name.endswith("restricted_to"):
        return ", ".join(str(role.label) for role in roles_of_bits(value))
    if isinstance(value, datetime):
        return date_format(timezone.localtime(value), "j M Y, H:i")
    if isinstance(value, date):
        return date_format(value, "j M Y")
    if isinstance(value, bool) and not field.flatchoices:
        return _("yes") if value else _("no")
    return str(dict(field.flatchoices).get(value, value))
