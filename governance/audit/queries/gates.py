"""Whether a person may read what the history of a record says: as much as of the record itself, and no more."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, reduce
from operator import and_
from typing import Any, Final

from django.db import models

from accessions.people.access import EVERY_ROLE, is_open_to
from governance.papers.models import Paper
from governance.scans.models import Scan
from governance.scans.opened import note_opened

_MOST_STEPS: Final = 3


@cache
def ways_to(model: type[models.Model], end: type[models.Model]) -> tuple[str, ...]:
    """The names of foreign keys from a model to papers or scans, such as ``version__paper``; "" from the model itself;
    the shortest of each first key, none of more than three steps."""
    if model is end:
        return ("",)
    return tuple(way for field in _keys(model) if (way := _way(field, end, 1)) is not None)


def _keys(model: type[models.Model]) -> Iterable[Any]:
    return (field for field in model._meta.concrete_fields if field.is_relation)


def _way(field: Any, end: type[models.Model], steps: int) -> str | None:
    if field.related_model is end:
        return str(field.name)
    if steps == _MOST_STEPS:
        return None
    below = (_way(one, end, steps + 1) for one in _keys(field.related_model) if one.related_model is not field.model)
    shortest = min((way for way in below if way is not None), key=len, default=None)
    return None if shortest is None else f"{field.name}__{shortest}"


def open_entries(model: type[models.Model], entries: list[Any], reader: Any) -> set[int]:
    """The ``history_id`` of those entries of a model's history that a person may read.

    An entry is open if every paper and scan that the record belongs to is. Of a record whose paper is gone from the
    register nobody can tell who may read it: it stays closed.
    """
    closed: set[int] = set()
    for way in ways_to(model, Paper):
        closed |= _closed(model, entries, reader, way, Paper, ("restricted_to",))
    if model._meta.app_label == Scan._meta.app_label:  # elsewhere a scan is named, and nothing of it is told
        for way in ways_to(model, Scan):
            closed |= _closed(model, entries, reader, way, Scan, ("restricted_to", "papers_restricted_to"))
    return {entry.history_id for entry in entries} - closed


def _closed(
    model: type[models.Model], entries: list[Any], reader: Any, way: str, end: type[models.Model],
    columns: tuple[str, ...],
) -> set[int]:  # fmt: skip
    """columns: of the end, all of which must allow (``Scan.open_to``). That restricted ends are read is noted."""
    first, _, rest = way.partition("__")
    holder: Any = end if not first else model._meta.get_field(first).related_model
    keys = {entry.history_id: entry.id if not first else getattr(entry, f"{first}_id") for entry in entries}
    wanted = {key for key in keys.values() if key is not None}
    paths = [f"{rest}__{column}" if rest else column for column in ("id", *columns)]
    rows = holder._base_manager.filter(pk__in=wanted).values_list("pk", *paths) if wanted else ()
    found = list(rows)
    bits = {pk: None if None in told else reduce(and_, told) for pk, _end, *told in found}
    for pk, restricted, *_told in found:
        if bits[pk] not in (None, EVERY_ROLE) and _is_open(reader, bits, pk):
            note_opened("paper" if end is Paper else "scan", restricted)
    return {entry for entry, key in keys.items() if key is not None and not _is_open(reader, bits, key)}


def _is_open(reader: Any, bits: dict[Any, int | None], key: Any) -> bool:
    """A row that leads on to no paper is open; a row that is gone is not."""
    if key not in bits:
        return False
    found = bits[key]
    return found is None or is_open_to(reader, found)
