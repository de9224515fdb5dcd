"""Pages of the register to which rows of a report lead: specimens and accessions, by the numbers that the rows hold.

What was issued stays as it is; a number that the register does not hold any more leads nowhere.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Final

from django.urls import reverse

from accessions.material.models import Accession, Specimen
from governance.reports.contents import Column, Row, Value

Links = Mapping[tuple[str, Value], str]
"""The address of a page by column and value."""


def _specimens(numbers: set[str]) -> Iterable[tuple[str, int]]:
    return Specimen.objects.filter(catalog_number__in=numbers).order_by().values_list("catalog_number", "pk")


def _accessions(numbers: set[str]) -> Iterable[tuple[str, int]]:
    return Accession.objects.filter(number__in=numbers).order_by().values_list("number", "pk")


_LINKED: Final[Mapping[str, tuple[str, Callable[[set[str]], Any]]]] = {
    "specimen": ("verdicts:specimen", _specimens), "taken_from": ("verdicts:specimen", _specimens),
    "accession": ("material:accession", _accessions),
}  # fmt: skip


def row_links(columns: Sequence[Column], rows: Sequence[Row]) -> Links:
    """The addresses for the rows of a page: one query a column that leads anywhere."""
    found: dict[tuple[str, Value], str] = {}
    for place, column in enumerate(columns):
        if column.key not in _LINKED:
            continue
        name, pages = _LINKED[column.key]
        numbers = {str(row[place]) for row in rows if row[place]}
        for number, key in pages(numbers) if numbers else ():
            found[column.key, number] = reverse(name, args=[key])
    return found
