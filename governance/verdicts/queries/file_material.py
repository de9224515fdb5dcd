"""What lies in an accession, part by part and delivery by delivery: how much, from where, from which days."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from django.db.models import Count

from accessions.material.models import Accession, Specimen


class RowKey(NamedTuple):
    """A row of the legal file. kind: "whole", "part", "rest" (the specimens of no part) or "delivery"."""

    kind: str
    key: int = 0


WHOLE = RowKey("whole")
REST = RowKey("rest")


def rows_of(part: int | None, delivery: int | None) -> tuple[RowKey, ...]:
    """The rows in which a specimen counts.

    >>> rows_of(7, None)
    (RowKey(kind='whole', key=0), RowKey(kind='part', key=7))
    """
    of_part = RowKey("part", part) if part else REST
    return (WHOLE, of_part, RowKey("delivery", delivery)) if delivery else (WHOLE, of_part)


@dataclass(frozen=True)
class Lot:
    """Specimens of one part, delivery, country and span of days. first_on, last_on None: not known."""

    part: int | None
    delivery: int | None
    country: str
    first_on: date | None
    last_on: date | None
    specimens: int


def lots_of(accession: Accession) -> list[Lot]:
    """All specimens of an accession, counted: one query."""
    rows = Specimen.objects.filter(accession=accession).order_by()
    columns = ("part", "delivery", "event__country", "event__earliest_on", "event__latest_on")
    return [Lot(*row) for row in rows.values_list(*columns).annotate(Count("pk"))]


@dataclass
class RowMaterial:
    """What is in one row. countries: by code ("" not known) how many specimens."""

    specimens: int = 0
    first_on: date | None = None
    last_on: date | None = None
    undated: int = 0
    countries: dict[str, int] | None = None


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
    first_days = [day for day in (material.first_on, lot.first_on) if day]
    last_days = [day for day in (material.last_on, lot.last_on) if day]
    material.first_on = min(first_days, default=None)
    material.last_on = max(last_days, default=None)
    if material.countries is None:
        material.countries = {}
    material.countries[lot.country] = material.countries.get(lot.country, 0) + lot.specimens
