"""What lies in an accession, part by part and delivery by delivery: how much, from where, from which days."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from typing import Any, NamedTuple

from django.db.models import Count

from accessions.material.models import Accession, SamplingEvent, Specimen


class RowKey(NamedTuple):
    """A row of the legal file. kind: "whole", "part", "rest" (the specimens of no part) or "delivery"."""

    kind: str
    key: int = 0


WHOLE = RowKey("whole")
REST = RowKey("rest")


@lru_cache(maxsize=4096)
def rows_of(part: int | None, delivery: int | None) -> tuple[RowKey, ...]:
    """The rows in which a specimen counts.

    >>> rows_of(7, None)
    (RowKey(kind='whole', key=0), RowKey(kind='part', key=7))
    """
    of_part = RowKey("part", part) if part else REST
    return (WHOLE, of_part, RowKey("delivery", delivery)) if delivery else (WHOLE, of_part)


class Lot(NamedTuple):
    """Specimens of one part, delivery and statement of an event, with what was read of it.

    first_on, last_on None: not known. site: key, None where it is at none. people: as written.
    """

    part: int | None
    delivery: int | None
    event: int
    number: str
    site: int | None
    country: str
    first_on: date | None
    last_on: date | None
    people: str
    specimens: int


def lots_of(accession: Accession) -> list[Lot]:
    """All specimens of an accession, counted: two queries, so that each statement of an event is read once."""
    rows = Specimen.objects.filter(accession=accession).order_by()
    counted = list(rows.values_list("part", "delivery", "event").annotate(Count("pk")))
    events = SamplingEvent.objects.filter(pk__in=rows.values("event")).order_by()
    columns = ("pk", "number", "site", "country", "earliest_on", "latest_on", "recorded_by")
    read: dict[int, Any] = {row[0]: row for row in events.values_list(*columns)}
    return [Lot._make((part, delivery, *read[event], specimens)) for part, delivery, event, specimens in counted]


@dataclass
class RowMaterial:
    """What is in one row. countries: by code ("" not known) how many specimens."""

    specimens: int = 0
    first_on: date | None = None
    last_on: date | None = None
    undated: int = 0
    countries: dict[str, int] = field(default_factory=dict)


def material_by_row(lots: Iterable[Lot]) -> Mapping[RowKey, RowMaterial]:
    """The lots added up for each row."""
    found: dict[RowKey, RowMaterial] = defaultdict(RowMaterial)
    for lot in lots:
        for row in rows_of(lot.part, lot.delivery):
            _add(found[row], lot)
    return found


def _add(material: RowMaterial, lot: Lot) -> None:
    material.specimens += lot.specimens
    if lot.first_on is None and lot.last_on is None:
        material.undated += lot.specimens
    if lot.first_on is not None and (material.first_on is None or lot.first_on < material.first_on):
        material.first_on = lot.first_on
    if lot.last_on is not None and (material.last_on is None or lot.last_on > material.last_on):
        material.last_on = lot.last_on
    material.countries[lot.country] = material.countries.get(lot.country, 0) + lot.specimens
