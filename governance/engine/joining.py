"""Two materials as one, so that what is counted under one paper is counted together."""

from __future__ import annotations

from dataclasses import fields
from typing import Any, TypeVar

import numpy as np

from governance.engine.tables import NONE, Dates, EngineError, IntColumn, Material, Places, Specimens, Taxa

_TABLE_OF = {
    "date": "dates", "exported": "dates", "imported": "dates", "transferred": "dates", "place": "places",
    "taxon": "taxa", "methods": "methods", "people": "people", "sexes": "sexes", "life_stages": "life_stages",
    "event": "events", "accession": "accessions", "catalog": "catalog_numbers",
}  # fmt: skip
"""The table into which each column of the specimens points."""


def joined(first: Material, second: Material) -> Material:
    """The specimens of the first, then those of the second; each points at the values that it pointed at.

    A value that both hold is held twice: that costs a little time and changes no verdict. Events are told apart by
    their rows, so an event may not be in both.

    Raises:
        EngineError: both name an event.
    """
    if not set(first.events).isdisjoint(second.events):
        raise EngineError("an event is in both materials")
    return Material(
        specimens=_specimens(first, second),
        dates=_columns(Dates, first.dates, second.dates),
        places=_columns(Places, first.places, second.places),
        taxa=_columns(Taxa, first.taxa, second.taxa),
        methods=[*first.methods, *second.methods],
        people=[*first.people, *second.people],
        sexes=[*first.sexes, *second.sexes],
        life_stages=[*first.life_stages, *second.life_stages],
        events=[*first.events, *second.events],
        accessions=[*first.accessions, *second.accessions],
        catalog_numbers=[*first.catalog_numbers, *second.catalog_numbers],
    )


T = TypeVar("T", Dates, Places, Taxa)


def _columns(table: type[T], one: T, other: T) -> T:
    """The rows of one, then those of the other."""
    columns: dict[str, Any] = {}
    for field in fields(table):
        pair: list[Any] = [getattr(one, field.name), getattr(other, field.name)]
        columns[field.name] = np.concatenate(pair) if isinstance(pair[0], np.ndarray) else [*pair[0], *pair[1]]
    return table(**columns)


def _specimens(first: Material, second: Material) -> Specimens:
    """Row numbers of the second are moved behind the tables of the first."""
    columns: dict[str, Any] = {}
    for field in fields(Specimens):
        one, other = getattr(first.specimens, field.name), getattr(second.specimens, field.name)
        pointed_at = _TABLE_OF.get(field.name)
        moved = other if pointed_at is None else _moved(other, len(getattr(first, pointed_at)))
        columns[field.name] = np.concatenate([one, moved])
    return Specimens(**columns)


def _moved(rows: IntColumn, by: int) -> IntColumn:
    """A row that points at nothing still does."""
    return np.where(rows == NONE, NONE, rows + by).astype(np.int32)
